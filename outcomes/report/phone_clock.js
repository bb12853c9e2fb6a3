// Time as the phone tells it, and whether somebody set its clock back.
//
// Stamps are milliseconds since 1970 in universal time, so midnight, summer time and journeys
// change nothing. A clock set back would make a span too short without a word; so the state
// counts the times that happened, each stamp remembers the count, and a span between stamps
// of different counts is not worked out. A clock set forward looks like a phone that slept.

const SET_BACK_MS = 500;

let lastLook = null;

// Returns whether the clock went back since the last look or since the last stamp kept.
function wasSetBack(highest) {
  const look = { wall: Date.now(), steady: performance.now() };
  const passed = lastLook ? look.steady - lastLook.steady : 0;
  const isBehindItself = lastLook && look.wall - lastLook.wall < passed - SET_BACK_MS;
  lastLook = look;
  return Boolean(isBehindItself) || look.wall < highest - SET_BACK_MS;
}

function showClock(ms) {
  const at = new Date(ms);
  return [at.getHours(), at.getMinutes(), at.getSeconds()].map(twoFigures).join(":");
}

function showDay(ms) {
  const at = new Date(ms);
  return [at.getFullYear(), twoFigures(at.getMonth() + 1), twoFigures(at.getDate())].join("-");
}

function showSpan(ms) {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  const tail = twoFigures(seconds % 60);
  return hours ? `${hours}:${twoFigures(minutes)}:${tail}` : `${minutes}:${tail}`;
}

function twoFigures(number) {
  return String(number).padStart(2, "0");
}
