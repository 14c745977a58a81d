# The same questions answered by R: survival for lives and repairs, base R for the rest. Run by `npm run reference`, not by
# `npm test`; what it found is kept in r-answers.json with versions and date, and tests/stats/reference.test.ts compares.
# Every case has the method and input of ours, so that the test needs nothing but that file.
suppressPackageStartupMessages({ library(survival); library(boot); library(MASS) })

cases <- list()
keep <- function(id, method, call, input, answer) {
  cases[[length(cases) + 1]] <<- list(id = id, method = method, call = call, input = input, answer = answer)
}
listed <- function(x) I(unname(x)) # always a JSON list, however short

# --- lives: survreg -----------------------------------------------------------------------------------------------------

weibull_answer <- function(fit) {
  v <- vcov(fit)
  shape <- 1 / fit$scale; scale <- exp(unname(coef(fit)))
  z <- qnorm(0.975); se_shape <- sqrt(v[2, 2]); se_scale <- sqrt(v[1, 1])
  list(shape = shape, scale = scale, logLikelihood = fit$loglik[1], shapeSe = shape * se_shape, scaleSe = scale * se_scale,
    shapeLow = shape * exp(-z * se_shape), shapeHigh = shape * exp(z * se_shape),
    scaleLow = scale * exp(-z * se_scale), scaleHigh = scale * exp(z * se_scale),
    b10 = unname(predict(fit, type = "quantile", p = 0.1)[1]), mean = scale * gamma(1 + 1 / shape))
}
lognormal_answer <- function(fit) {
  v <- vcov(fit)
  list(mu = unname(coef(fit)), sigma = fit$scale, logLikelihood = fit$loglik[1], muSe = sqrt(v[1, 1]), sigmaSe = fit$scale * sqrt(v[2, 2]))
}
tight <- survreg.control(rel.tolerance = 1e-12, maxiter = 200)
both <- function(id, response, weights, input) {
  for (dist in c("weibull", "lognormal")) {
    fit <- survreg(response ~ 1, dist = dist, weights = weights, control = tight)
    keep(paste(id, dist), paste0(dist, "-fit"), "survreg(response ~ 1)", input, if (dist == "weibull") weibull_answer(fit) else lognormal_answer(fit))
  }
}
timed <- function(id, time, status, count = NULL) {
  w <- if (is.null(count)) rep(1, length(time)) else count
  input <- list(time = listed(time), status = listed(status))
  if (!is.null(count)) input$count <- listed(count)
  both(id, Surv(time, status), w, input)
}
timed("genfan, 12 failures of 70", genfan$hours, genfan$status)
timed("ifluid 38 kV, complete", ifluid$time[ifluid$voltage == 38], rep(1, sum(ifluid$voltage == 38)))
timed("motors, ten tied at the end of test", motors$time, motors$cens)
timed("ifluid 30 kV, complete", ifluid$time[ifluid$voltage == 30], rep(1, sum(ifluid$voltage == 30)))
timed("aircondit7, complete with ties", sort(aircondit7$hours), rep(1, nrow(aircondit7)))
timed("capacitor, 4 failures", capacitor$time[capacitor$voltage == 200 & capacitor$temperature == 170], capacitor$status[capacitor$voltage == 200 & capacitor$temperature == 170])
# Meeker & Escobar 1998, bearing cages: 6 failures among 1703, in counts.
cage <- list(time = c(50, 150, 230, 250, 334, 350, 423, 450, 550, 650, 750, 850, 950, 990, 1009, 1050, 1150, 1250, 1350, 1450, 1510, 1550, 1650, 1850, 2050),
  status = c(0, 0, 1, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0),
  count = c(288, 148, 1, 124, 1, 111, 1, 106, 99, 110, 114, 119, 127, 1, 1, 123, 93, 47, 41, 27, 1, 11, 6, 1, 2))
timed("bearing cages, 6 failures of 1703 in counts", cage$time, cage$status, cage$count)
timed("two failures far apart", c(10, 400, 90), c(1, 1, 0))

between <- function(id, lower, upper, count) {
  response <- Surv(ifelse(is.na(lower) | lower == 0, NA, lower), upper, type = "interval2")
  both(id, response, count, list(lower = listed(lower), upper = listed(upper), count = listed(count)))
}
between("cracks, inspections", c(0, cracks$days), c(cracks$days, NA), c(cracks$fail, 167 - sum(cracks$fail)))
# Turbine wheels looked at once: failed by then, or not yet.
looked <- turbine[turbine$failed > 0, ]; fine <- turbine[turbine$inspected > turbine$failed, ]
between("turbine wheels, looked at once", c(rep(0, nrow(looked)), fine$hours), c(looked$hours, rep(NA, nrow(fine))), c(looked$failed, fine$inspected - fine$failed))
between("exact, left, interval and right in one", c(12, 0, 30, 45, 60, 22), c(12, 9, 41, NA, 60, 35), c(2, 1, 3, 4, 1, 2))

# Limits of the fitted curve: ln(-ln S) is (ln t - location)/spread, its variance from survreg's own vcov.
fit <- survreg(Surv(genfan$hours, genfan$status) ~ 1, control = tight); v <- vcov(fit)
last <- exp(coef(fit)) * (-log(0.01))^fit$scale; at <- unname(last * 1:5 / 5)
u <- (log(at) - coef(fit)) / fit$scale
se <- sapply(u, function(one) { d <- c(-1 / fit$scale, -one); sqrt(drop(d %*% v %*% d)) })
keep("genfan, limits of the curve", "weibull-curve", "survreg(response ~ 1), vcov", list(time = listed(genfan$hours), status = listed(genfan$status), count = 5),
  list(time = listed(at), survival = listed(exp(-exp(u))), low = listed(exp(-exp(u + qnorm(0.975) * se))), high = listed(exp(-exp(u - qnorm(0.975) * se)))))

# Left truncation isn't in survreg: the likelihood by hand, climbed by optim.
climb <- function(logdens, logsurv, time, status, entry, start) {
  minus <- function(p) -sum(ifelse(status == 1, logdens(time, p), logsurv(time, p)) - ifelse(entry > 0, logsurv(pmax(entry, 1e-12), p), 0))
  best <- optim(start, minus, method = "BFGS", control = list(reltol = 1e-16, maxit = 5000), hessian = TRUE)
  best <- optim(best$par, minus, method = "BFGS", control = list(reltol = 1e-16, maxit = 5000, ndeps = c(1e-5, 1e-5)), hessian = TRUE)
  list(par = best$par, v = solve(best$hessian), value = -best$value)
}
late <- list(time = c(41, 55, 62, 70, 88, 93, 101, 120, 64, 77), status = c(1, 1, 0, 1, 1, 0, 1, 0, 1, 1), entry = c(0, 20, 10, 0, 35, 0, 60, 75, 50, 0))
input <- lapply(late, listed)
w <- climb(function(t, p) dweibull(t, exp(-p[2]), exp(p[1]), log = TRUE), function(t, p) pweibull(t, exp(-p[2]), exp(p[1]), lower.tail = FALSE, log.p = TRUE),
  late$time, late$status, late$entry, c(log(80), -1))
keep("late entries weibull", "weibull-fit", "optim of dweibull, pweibull less the survival at entry", input,
  list(shape = exp(-w$par[2]), scale = exp(w$par[1]), logLikelihood = w$value, shapeSe = exp(-w$par[2]) * sqrt(w$v[2, 2]), scaleSe = exp(w$par[1]) * sqrt(w$v[1, 1])))
n <- climb(function(t, p) dlnorm(t, p[1], exp(p[2]), log = TRUE), function(t, p) plnorm(t, p[1], exp(p[2]), lower.tail = FALSE, log.p = TRUE),
  late$time, late$status, late$entry, c(log(80), -1))
keep("late entries lognormal", "lognormal-fit", "optim of dlnorm, plnorm less the survival at entry", input,
  list(mu = n$par[1], sigma = exp(n$par[2]), logLikelihood = n$value, muSe = sqrt(n$v[1, 1]), sigmaSe = exp(n$par[2]) * sqrt(n$v[2, 2])))

# Median ranks and a straight line by lm; Johnson's ranks from the product-limit form of the same idea.
ranked <- list(time = c(30, 49, 82, 90, 96, 10, 45, 100), status = c(1, 1, 1, 1, 1, 0, 0, 0))
o <- order(ranked$time, -ranked$status); st <- ranked$status[o]; tm <- ranked$time[o]; m <- length(tm)
ranks <- (m + 1) * (1 - cumprod(ifelse(st == 1, (m:1) / (m:1 + 1), 1)))
x <- log(tm[st == 1]); y <- log(-log(1 - (ranks[st == 1] - 0.3) / (m + 0.4)))
onx <- unname(coef(lm(x ~ y))); ony <- unname(coef(lm(y ~ x)))
keep("rank regression x on y", "weibull-fit", "lm(x ~ y)", c(lapply(ranked, listed), method = "rank-x-on-y"), list(shape = 1 / onx[2], scale = exp(onx[1])))
keep("rank regression y on x", "weibull-fit", "lm(y ~ x)", c(lapply(ranked, listed), method = "rank-y-on-x"), list(shape = ony[2], scale = exp(-ony[1] / ony[2])))

# --- curves: survfit ----------------------------------------------------------------------------------------------------

finite <- function(x) ifelse(is.finite(x), x, NA)
curve <- function(id, response, input, count = NULL) {
  fit <- if (is.null(count)) survfit(response ~ 1, conf.type = "log-log") else survfit(response ~ 1, conf.type = "log-log", weights = count)
  inside <- fit$surv > 0 & fit$surv < 1
  median <- unname(quantile(fit, 0.5)$quantile)
  # R puts the median of a curve that is flat at one half in the middle of the flat; ours is where it begins.
  keep(id, "survival-curve", "survfit(conf.type = 'log-log')", input, list(time = listed(fit$time), atRisk = listed(fit$n.risk), survival = listed(fit$surv),
    se = listed(ifelse(fit$surv > 0, finite(fit$std.err * fit$surv), NA)), low = listed(ifelse(inside, fit$lower, NA)), high = listed(ifelse(inside, fit$upper, NA)),
    cumulativeHazard = listed(fit$cumhaz), cumulativeHazardSe = listed(fit$std.chaz)))
}
curve("genfan curve", Surv(genfan$hours, genfan$status), list(time = listed(genfan$hours), status = listed(genfan$status)))
curve("motors curve, ties", Surv(motors$time, motors$cens), list(time = listed(motors$time), status = listed(motors$cens)))
curve("late entries curve", Surv(late$entry, late$time, late$status), input)
curve("all fail, down to 0", Surv(c(3, 5, 5, 9), c(1, 1, 1, 1)), list(time = listed(c(3, 5, 5, 9)), status = listed(c(1, 1, 1, 1))))
curve("bearing cages curve, counts", Surv(rep(cage$time, cage$count), rep(cage$status, cage$count)), lapply(cage, listed))

ends <- tapply(bladder2$stop, bladder2$id, max); hits <- bladder2[bladder2$event == 1, ]
mcf <- survfit(Surv(start, stop, event) ~ 1, data = bladder2, id = id)
at <- mcf$n.event > 0
keep("bladder recurrences", "repair-curve", "survfit(Surv(start, stop, event) ~ 1, id = id)",
  list(system = listed(hits$id), time = listed(hits$stop), end = as.list(ends)),
  list(time = listed(mcf$time[at]), mean = listed(mcf$cumhaz[at]), seRobust = listed(mcf$std.chaz[at])))

# --- repairs: by hand ---------------------------------------------------------------------------------------------------

ac <- cumsum(aircondit$hours)
before <- head(ac, -1); end <- tail(ac, 1)
keep("aircondit, failure-truncated", "repair-trend", "sum, pnorm, pchisq", list(time = listed(ac), end = "last-event"),
  list(laplaceU = sum(before - end / 2) / sqrt(length(before) * end^2 / 12), laplaceP = 2 * pnorm(-abs(sum(before - end / 2) / sqrt(length(before) * end^2 / 12))),
    milChi2 = 2 * sum(log(end / before)), milDf = 2 * length(before), milCdf = pchisq(2 * sum(log(end / before)), 2 * length(before)),
    reversals = { g <- diff(c(0, ac)); sum(outer(seq_along(g), seq_along(g), function(i, j) i < j & g[i] < g[j])) }))
grouped <- list(ends = c(20, 40, 60, 80, 100), counts = c(13, 16, 5, 8, 7))
mid <- grouped$ends - 10; N <- sum(grouped$counts)
u <- (sum(grouped$counts * mid) - N * 50) / sqrt(N * (mean(mid^2) - 50^2))
keep("MIL-HDBK-189 counts, Laplace", "repair-trend", "multinomial mean and variance", lapply(grouped, listed), list(laplaceU = u, laplaceP = 2 * pnorm(-abs(u))))
law <- function(p) -sum(dpois(grouped$counts, exp(p[1]) * diff(c(0, grouped$ends)^exp(p[2])), log = TRUE))
g <- optim(c(0, 0), law, method = "BFGS", control = list(reltol = 1e-16, maxit = 2000, ndeps = c(1e-5, 1e-5)))
keep("MIL-HDBK-189 counts, power law", "power-law-fit", "optim of dpois", lapply(grouped, listed), list(beta = exp(g$par[2]), lambda = exp(g$par[1])))
odd <- list(system = c("a", "a", "b", "b", "b", "c"), time = c(5, 7, 2, 9, 11, 4), end = list(a = 10, b = 12, c = 5, d = 6))
law <- function(p) { b <- exp(p[2]); l <- exp(p[1]); -(sum(log(l) + log(b) + (b - 1) * log(odd$time)) - l * sum(unlist(odd$end)^b)) }
g <- optim(c(-2, 0), law, method = "BFGS", control = list(reltol = 1e-16, maxit = 2000, ndeps = c(1e-5, 1e-5)))
keep("four systems watched for different times", "power-law-fit", "optim of the intensity", list(system = listed(odd$system), time = listed(odd$time), end = odd$end), list(beta = exp(g$par[2]), lambda = exp(g$par[1])))

# --- the rest: base R ---------------------------------------------------------------------------------------------------

for (shape in c(1.3, 2, 4)) {
  rate <- function(t) (25 * pweibull(t, shape, 80) + 10 * pweibull(t, shape, 80, lower.tail = FALSE)) / integrate(pweibull, 0, t, shape = shape, scale = 80, lower.tail = FALSE, rel.tol = 1e-12)$value
  best <- optimize(rate, c(1, 300), tol = 1e-9)
  keep(paste("replacement age, shape", shape), "replacement-age", "optimize of integrate", list(shape = shape, scale = 80, costPlanned = 10, costFailure = 25),
    list(age = best$minimum, costRate = best$objective, costRateRunToFailure = 25 / (80 * gamma(1 + 1 / shape))))
}
for (age in c(20, 50, 140)) {
  hours <- integrate(function(t) pweibull(t, 2, 90, lower.tail = FALSE) * pweibull(t, 4, 70, lower.tail = FALSE), 0, age, rel.tol = 1e-12)$value
  failed <- integrate(function(t) dweibull(t, 2, 90) * pweibull(t, 4, 70, lower.tail = FALSE), 0, age, rel.tol = 1e-12)$value
  keep(paste("two ways to end, replaced at", age), "two-ends", "integrate of dweibull, pweibull",
    list(failing = list(shape = 2, scale = 90), wearing = list(shape = 4, scale = 70), age = age, costPlanned = 80, costFailure = 400),
    list(cost = (400 * failed + 80 * (1 - failed)) / hours))
}
for (k in c(0, 1, 7, 40)) {
  p <- poisson.test(k, T = 12.5, conf.level = 0.9)$conf.int
  keep(paste("count", k), "count-interval", "poisson.test", list(events = k, exposure = 12.5, level = 0.9), list(low = p[1], high = p[2]))
}
for (k in c(0, 3, 17, 20)) {
  w <- prop.test(k, 20, correct = FALSE)$conf.int; e <- binom.test(k, 20)$conf.int
  keep(paste("share", k, "wilson"), "share-interval", "prop.test(correct = FALSE)", list(hits = k, trials = 20, level = 0.95, method = "wilson"), list(low = w[1], high = w[2]))
  keep(paste("share", k, "exact"), "share-interval", "binom.test", list(hits = k, trials = 20, level = 0.95, method = "exact"), list(low = e[1], high = e[2]))
}
for (a in c(0.3, 2.5, 7)) {
  b <- dpois(8, a) / ppois(8, a)
  keep(paste("erlang b", a), "erlang-b", "dpois / ppois", list(servers = 8, load = a), list(probability = b))
  keep(paste("erlang c", a), "erlang-c", "from dpois / ppois", list(servers = 8, load = a), list(probability = b / (1 - a / 8 * (1 - b))))
}
for (m in c(0.3, 4.32, 60)) keep(paste("spares", m), "spares-needed", "qpois, ppois", list(meanDemand = m, level = 0.97), list(stock = qpois(0.97, m), probability = ppois(qpois(0.97, m), m)))
shop <- c(2.1, 3.4, 2.9, 4.4, 3.3, 12.7, 3.1, 2.2, 5.6, 3.9, 1.1, 2.8)
keep("fences", "outliers", "quantile(type = 6)", list(x = listed(shop), rule = "fences"),
  list(q1 = unname(quantile(shop, 0.25, type = 6)), q3 = unname(quantile(shop, 0.75, type = 6))))
keep("modified z", "outliers", "mad(constant = 1)", list(x = listed(shop), rule = "modified-z"),
  list(median = median(shop), mad = mad(shop, constant = 1), scores = listed(0.6745 * (shop - median(shop)) / mad(shop, constant = 1))))
rest <- shop; stat <- crit <- numeric(0)
for (i in 1:3) {
  n <- length(rest); far <- which.max(abs(rest - mean(rest))); stat[i] <- abs(rest[far] - mean(rest)) / sd(rest)
  t <- qt(1 - 0.05 / (2 * n), n - 2); crit[i] <- (n - 1) * t / sqrt((n - 2 + t^2) * n); rest <- rest[-far]
}
keep("generalised esd", "outliers", "qt, sd", list(x = listed(shop), rule = "gesd", max = 3), list(statistic = listed(stat), critical = listed(crit)))
hinge <- fivenum(shop)
keep("hinges", "outliers", "fivenum", list(x = listed(shop), rule = "adjusted-fences"), list(lowerHinge = hinge[2], median = hinge[3], upperHinge = hinge[4]))
line <- summary(lm(shop ~ 0 + I(1:12)))
keep("through the origin", "ratio-line", "lm(y ~ 0 + x)", list(x = listed(1:12), y = listed(shop)), list(slope = line$coefficients[1], slopeSe = line$coefficients[2], residualSd = line$sigma))
seen <- c(5, 9, 13, 4.4, 3.9, 7, 8, 10, 6, 5)
keep("intervals", "forecast-score", "binom.test", list(lower = 4, upper = 10, alpha = 0.1, observed = listed(seen)),
  list(score = mean(6 + 20 * (pmax(4 - seen, 0) + pmax(seen - 10, 0))), coverage = mean(seen >= 4 & seen <= 10), coverageP = binom.test(sum(seen >= 4 & seen <= 10), 10, 0.9)$p.value))
ens <- c(3, 8, 1, 4, 4, 9); truth <- 5
keep("ensemble", "forecast-score", "integrate of (F - 1[x >= y])^2", list(ensemble = listed(ens), observed = truth),
  list(crps = { b <- sort(c(ens, truth)); sum(diff(b) * (ecdf(ens)(head(b, -1)) - (head(b, -1) >= truth))^2) }))

# The posterior of a life on a grid of its own, 1201 x 1201, over the whole of the belief: 40 h within a factor e, shape 2.5 e^0.4.
few <- list(time = c(22, 41, 37, 50), status = c(1, 1, 1, 0))
ls <- seq(log(2.5) - 6 * 0.4, log(2.5) + 6 * 0.4, length.out = 1201); lsc <- seq(log(40) - 6, log(40) + 6, length.out = 1201)
height <- outer(ls, lsc, function(s, m) {
  b <- exp(s); total <- dnorm(s, log(2.5), 0.4, log = TRUE) + dnorm(m, log(40), 1, log = TRUE)
  for (i in seq_along(few$time)) total <- total + few$status[i] * (s - m + (b - 1) * (log(few$time[i]) - m)) - exp(b * (log(few$time[i]) - m))
  total
})
weight <- exp(height - max(height)); weight <- weight / sum(weight)
quantiles <- function(value, w) { o <- order(value); approx(cumsum(w[o]) - w[o] / 2, value[o], c(0.1, 0.5, 0.9), ties = "ordered")$y }
b10 <- outer(ls, lsc, function(s, m) m + log(-log(0.9)) / exp(s))
ranged <- function(q) list(low = exp(q[1]), best = exp(q[2]), high = exp(q[3]))
keep("posterior of a saw blade", "posterior", "outer of dnorm and the likelihood", lapply(few, listed),
  list(shape = ranged(quantiles(ls, rowSums(weight))), scale = ranged(quantiles(lsc, colSums(weight))), b10 = ranged(quantiles(as.vector(b10), as.vector(weight)))))

# --- written as JSON ----------------------------------------------------------------------------------------------------

json <- function(x) {
  if (is.null(x)) return("null")
  if (is.list(x) && !inherits(x, "AsIs")) return(paste0("{", paste0(encodeString(names(x), quote = '"'), ":", vapply(x, json, ""), collapse = ","), "}"))
  one <- function(v) if (is.na(v)) "null" else if (is.character(v)) encodeString(v, quote = '"') else format(v, digits = 15, scientific = NA, trim = TRUE)
  text <- vapply(unclass(x), one, "")
  if (inherits(x, "AsIs") || length(text) != 1) paste0("[", paste(text, collapse = ","), "]") else text
}
script <- sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE))
head <- list(madeBy = "npm run reference (tests/reference/fits.R)", r = R.version.string, survival = as.character(packageVersion("survival")),
  boot = as.character(packageVersion("boot")), MASS = as.character(packageVersion("MASS")), date = as.character(Sys.Date()))
body <- paste(vapply(cases, json, ""), collapse = ",\n")
writeLines(paste0(sub("}$", "", json(head)), ',"cases":[\n', body, "\n]}"), file.path(dirname(script), "r-answers.json"))
cat(length(cases), "cases\n")
