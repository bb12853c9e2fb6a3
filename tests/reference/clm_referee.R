# Fits every CSV named on the command line with ordinal::clm and writes <name>.fit.csv beside it:
# log-likelihood, then coefficients (thresholds first), then their standard errors.
# Columns: y (whole grades), w (weights), everything else enters the model. The link is the
# part of the file name before the first hyphen.
suppressPackageStartupMessages(library(ordinal))
for (path in commandArgs(trailingOnly = TRUE)) {
  data <- read.csv(path)
  data$y <- factor(data$y)
  columns <- setdiff(names(data), c("y", "w"))
  formula <- reformulate(columns, response = "y")
  link <- sub("-.*", "", basename(path))
  fit <- clm(formula, data = data, weights = w, link = link,
             control = clm.control(gradTol = 1e-12, maxIter = 200L))
  values <- c(as.numeric(logLik(fit)), coef(fit), sqrt(diag(vcov(fit))))
  writeLines(formatC(values, digits = 17, format = "g"), sub("csv$", "fit.csv", path))
}
