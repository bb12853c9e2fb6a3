# Times R on the benchmark's log: prints "<name> <ms of processor time a refit>" lines.
# Arguments: the CSV (y, firing, x1..xp), number of clm refits, number of bootcov redraws.
suppressPackageStartupMessages({library(ordinal); library(rms)})
given <- commandArgs(trailingOnly = TRUE)
data <- read.csv(given[1])
firing <- data$firing
data$firing <- NULL
columns <- setdiff(names(data), "y")
data$y <- factor(data$y)
formula <- reformulate(columns, response = "y")
set.seed(1)
draw <- function() {
  picked <- sample(unique(firing), replace = TRUE)
  data[unlist(lapply(picked, function(g) which(firing == g))), ]
}
samples <- replicate(as.integer(given[2]), draw(), simplify = FALSE)
invisible(clm(formula, data = samples[[1]]))
seconds <- system.time(for (sample in samples) clm(formula, data = sample))[["user.self"]]
cat("ordinal::clm", 1000 * seconds / length(samples), "\n")
redraws <- as.integer(given[3])
fit <- lrm(formula, data = data, x = TRUE, y = TRUE)
seconds <- system.time(bootcov(fit, cluster = firing, B = redraws))[["user.self"]]
cat("rms::bootcov", 1000 * seconds / redraws, "\n")
