# Soup tasting (ordinal::soup, 185 respondents): sureness in six grades by product, with and
# without day and soup type. Writes soup_clm.json beside itself. Run by hand: Rscript soup_referee.R
suppressPackageStartupMessages({library(ordinal); library(jsonlite)})
soup <- ordinal::soup
fit <- clm(SURENESS ~ PROD + DAY, data = soup, control = clm.control(gradTol = 1e-12))
values <- list(
  source = "Christensen, R. H. B., Cork, D. G. & Brockhoff, P. B. (2011), Food Quality and Preference 22:542-553 (A-not A with sureness); data ordinal::soup",
  command = "ordinal::clm(SURENESS ~ PROD + DAY, data = soup)",
  note = "title and pages of the source are from memory; the numbers were computed",
  r = R.version.string, ordinal = as.character(packageVersion("ordinal")),
  expected = list(coef = as.list(coef(fit)), logLik = as.numeric(logLik(fit)), n = nobs(fit),
                  respondents = nlevels(factor(soup$RESP))))
write(toJSON(values, digits = I(15), auto_unbox = TRUE, pretty = TRUE), "soup_clm.json")
