// What can be heard, and a screen that stays on. All of it is left out where there is none.

let sound = null;
let lamp = null;

// A piece that broke on the way never gets its last tap; it shall not light the screen all night.
const LONGEST_WATCH_MS = 3 * 3600 * 1000;

function cue(text) {
  const { beep, voice } = store.state.choices;
  if (beep) playBeep();
  if (voice && window.speechSynthesis) {
    window.speechSynthesis.cancel();
    window.speechSynthesis.speak(new SpeechSynthesisUtterance(text));
  }
}

function playBeep() {
  const Sound = window.AudioContext;
  if (!Sound) return;
  sound ??= new Sound();
  sound.resume().catch(() => {});
  const [tone, volume] = [sound.createOscillator(), sound.createGain()];
  tone.frequency.value = 880;
  volume.gain.setValueAtTime(0.4, sound.currentTime);
  volume.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + 0.2);
  tone.connect(volume).connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + 0.2);
}

function isWatched(piece) {
  if (!isUnderWay(piece)) return false;
  const last = piece.stamps[BOOK.steps[lastStep(piece)].key];
  return Date.now() - last.ms < LONGEST_WATCH_MS;
}

// While a piece is under way the screen stays on; a hidden page gives the lamp back by itself.
async function keepAwake() {
  const isWanted = store.state.choices.awake
    && store.state.firings.some((firing) => firing.pieces.some(isWatched));
  if (!isWanted) {
    lamp?.release().catch(() => {});
    lamp = null;
  } else if ((!lamp || lamp.released) && navigator.wakeLock && !document.hidden) {
    lamp = await navigator.wakeLock.request("screen").catch(() => null);
  }
}
