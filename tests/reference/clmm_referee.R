# Random-intercept cumulative model by R's ordinal::clmm, adaptive Gauss-Hermite quadrature.
# Usage: Rscript clmm_referee.R made-logit.csv ...   (the link is the part after the last dash;
# columns y, firing, then x0, x1, ...). Writes <file>.fit.csv: logLik, thresholds, slopes, sd,
# then the firings' conditional modes.
# clmm of ordinal 2022.11-16 says cloglog to the link that its own clm (and the textbooks) call
# loglog, and the reverse: on the wine, clmm(link = "loglog") has logLik -81.5234 and tends to
# clm(link = "cloglog") as the judges' variance goes to 0. The names are put right here.
of_clmm <- c(logit = "logit", probit = "probit", cloglog = "loglog", loglog = "cloglog")
suppressMessages(library(ordinal))
for (path in commandArgs(trailingOnly = TRUE)) {
  table <- read.csv(path)
  table$y <- factor(table$y)
  table$firing <- factor(table$firing)
  link <- sub("\\.csv$", "", sub(".*-", "", basename(path)))
  columns <- grep("^x", names(table), value = TRUE)
  formula <- as.formula(paste("y ~", paste(columns, collapse = " + "), "+ (1 | firing)"))
  fit <- clmm(formula, data = table, link = of_clmm[[link]], nAGQ = 10,
              control = clmm.control(gradTol = 1e-6, maxIter = 200))
  values <- c(as.numeric(logLik(fit)), fit$alpha, fit$beta, as.numeric(fit$ST[[1]]),
              unlist(ranef(fit)$firing))
  write.table(format(values, digits = 17), sub("\\.csv$", ".fit.csv", path), quote = FALSE,
              row.names = FALSE, col.names = FALSE)
}
