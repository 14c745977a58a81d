// Lives typed in: the form, and the fit with its curve, limits and plain words.
import type { JSX } from "preact";
import type { Insufficient } from "../../../../shared/errors.ts";
import type { Workings } from "../../ask/answers.ts";
import type { LifePoint } from "../../charts/chart.ts";
import { Figure } from "../../charts/figure.tsx";
import { counted, type Reader } from "../../words/reader.ts";
import { Key } from "../entry.tsx";
import type { LineProblem, Lives } from "./lives-text.ts";

interface WeibullFit {
  shape: number;
  scale: number;
  shapeLow: number | null;
  shapeHigh: number | null;
  scaleLow: number | null;
  scaleHigh: number | null;
  b10: number;
  b10Low: number | null;
  b10High: number | null;
  mean: number;
  curve: { time: number[]; survival: number[]; low: (number | null)[]; high: (number | null)[] };
}

interface SurvivalCurve {
  time: number[];
  survival: number[];
  low: (number | null)[];
  high: (number | null)[];
  median: number | null;
}

export interface LifeSum {
  lives: Lives;
  fit: WeibullFit | Insufficient;
  curve: SurvivalCurve | Insufficient;
}

const example = "54 failed\n187 failed\n216 good\n240 failed\n244 good\n335 failed\n361 failed\n373 good";

export function LivesForm(props: {
  text: string;
  others: [string, string][];
  problems: LineProblem[];
  complaint: string | null;
}): JSX.Element {
  const { text, others, problems, complaint } = props;
  const isWrong = problems.length > 0 || complaint !== null;
  return (
    <form class="typed" action="/sums" method="get">
      {others.map(([name, value]) => (
        <input type="hidden" key={name} name={name} value={value} />
      ))}
      <label for="lives-text">Hours each one lasted, one a line, and whether it failed or is still good</label>
      <textarea
        id="lives-text"
        name="lives"
        rows={8}
        required
        spellcheck={false}
        aria-describedby={isWrong ? "lives-help lives-problem" : "lives-help"}
        aria-invalid={isWrong ? "true" : undefined}
        placeholder={example}
        key={text}
        defaultValue={text}
      />
      <p id="lives-help" class="small">
        <code>54 failed</code>, <code>187 worn</code>, <code>216 good</code> or <code>216+</code> for one that was still good when
        last seen. Any unit will do, as long as it is the same throughout.
      </p>
      {isWrong ? (
        <p id="lives-problem" class="problem" role="alert">
          {complaint ??
            `Not understood: ${problems.map(({ line, text: words }) => `line ${line}, “${words}”`).join("; ")}. Expected a figure, then failed or good.`}
        </p>
      ) : null}
      <p class="buttons">
        <button type="submit">Work it out</button>
        <a class="quiet" href={`/sums?${new URLSearchParams({ ...Object.fromEntries(others), lives: example })}#lives`}>
          Try an example
        </a>
      </p>
    </form>
  );
}

const isFigures = <T extends object>(answer: T | Insufficient): answer is T => !("insufficient" in answer);

export function LivesAnswer({ sum: { lives, fit, curve }, reader }: { sum: LifeSum; reader: Reader }): JSX.Element {
  const failed = lives.status.filter((status) => status === 1).length;
  const good = lives.status.length - failed;
  return (
    <div class="answer" aria-live="polite">
      <p>
        {counted(reader, failed, "life", "lives")} that ended, {reader.count(good)} still good when last seen.{" "}
        {isFigures(fit) ? (
          <FitWords fit={fit} failed={failed} reader={reader} />
        ) : (
          <NotEnough insufficient={fit} reader={reader} />
        )}
      </p>
      {isFigures(fit) ? <FitTable fit={fit} reader={reader} /> : null}
      {isFigures(curve) ? (
        <Figure
          chart="lifeCurve"
          title="Share still good at each age"
          unit="share of parts up, age across, in the unit typed in"
          settings={{ unit: "hours" }}
          rows={pointsOf(curve, isFigures(fit) ? fit : null)}
          reader={reader}
          workings={lifeWorkings}
        >
          <p>
            <span class="swatch line" /> from the lives alone, shaded: its {reader.share(0.95)} limits{" "}
            <span class="swatch dashes" /> the fitted line between its limits
          </p>
        </Figure>
      ) : null}
    </div>
  );
}

const lifeWorkings: Workings = {
  formula:
    "Steps: product-limit estimate S(t) = Π (1 − dᵢ ÷ nᵢ), limits on the log(−log) scale. Line: Weibull S(t) = exp(−(t ÷ scale)^shape) by maximum likelihood, limits on the log scale.",
  inputs: { lives: "as typed in, nothing else" },
  queries: ["analytics/stats/survival-curve.ts", "analytics/stats/weibull-fit.ts"],
  notes: [
    "Steps: Kaplan & Meier, J. Am. Stat. Assoc. 53 (1958); limits: Kalbfleisch & Prentice, The Statistical Analysis of Failure Time Data, 2nd ed. (2002), section 1.4. Cited from memory.",
    "Line: Meeker & Escobar, Statistical Methods for Reliability Data (1998), chapter 8. Cited from memory.",
  ],
};

function NotEnough({ insufficient: { insufficient }, reader }: { insufficient: Insufficient; reader: Reader }): JSX.Element {
  return (
    <>
      <Key>Not enough for a fit yet</Key>: it needs {reader.count(insufficient.need)} lives that ended at different ages, and has{" "}
      {reader.count(insufficient.have)}.
    </>
  );
}

/** What the shape means for upkeep; an interval that reaches 1 shows no wear-out, so age alone is no reason to replace. */
function FitWords({ fit, failed, reader }: { fit: WeibullFit; failed: number; reader: Reader }): JSX.Element {
  const { shape, shapeLow, scale, b10 } = fit;
  return (
    <>
      By the fit one in ten is gone at <Key>{reader.figure(b10)}</Key>, and about two in three ({reader.share(0.632)}) at{" "}
      <Key>{reader.figure(scale)}</Key>.{" "}
      {shapeLow === null
        ? "How sure that is can't be told from these lives."
        : shapeLow > 1
          ? "The older the part, the likelier it fails: wearing out shows, and replacing by age can pay."
          : shape > 1
            ? "Wearing out is likely but not shown: the shape's limits reach 1, so replacing by age may not pay. Inspect instead."
            : "No wearing out shows: a part that has lasted is no likelier to fail than a new one, so replacing by age does not pay. Inspect instead."}
      {failed < 10
        ? ` With so few ended lives the fit makes wearing out look stronger than it is: on five, the shape comes out about 1.4 times too high.`
        : ""}
    </>
  );
}

function FitTable({ fit, reader }: { fit: WeibullFit; reader: Reader }): JSX.Element {
  const rows: [string, number, number | null, number | null][] = [
    ["Shape", fit.shape, fit.shapeLow, fit.shapeHigh],
    [`Scale (${reader.share(0.632)} gone)`, fit.scale, fit.scaleLow, fit.scaleHigh],
    ["One in ten gone", fit.b10, fit.b10Low, fit.b10High],
    ["Mean life", fit.mean, null, null],
  ];
  return (
    <table class="numbers">
      <caption>The fitted line</caption>
      <thead>
        <tr>
          <th scope="col">Figure</th>
          <th scope="col">Best</th>
          <th scope="col">{reader.share(0.95)} limits</th>
        </tr>
      </thead>
      <tbody>
        {rows.map(([name, best, low, high]) => (
          <tr key={name}>
            <th scope="row">{name}</th>
            <td>{reader.figure(best, 4)}</td>
            <td>{low === null || high === null ? "–" : `${reader.figure(low)}–${reader.figure(high)}`}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The steps of the curve, and the fitted line as far as a little beyond the longest life. */
export function pointsOf(curve: SurvivalCurve, fit: WeibullFit | null): LifePoint[] {
  const pointsFrom = (kind: LifePoint["kind"], { time, survival, low, high }: WeibullFit["curve"]): LifePoint[] =>
    time.map((at, i) => ({
      kind,
      time: at,
      survival: { low: low[i] ?? null, best: survival[i] ?? null, high: high[i] ?? null },
    }));
  const longest = 1.06 * Math.max(...curve.time);
  const line = fit ? pointsFrom("fit", fit.curve).filter(({ time }) => time <= longest) : [];
  const born: LifePoint = { kind: "fit", time: 0, survival: { low: 1, best: 1, high: 1 } };
  return [...pointsFrom("step", curve), ...(line.length ? [born, ...line] : [])];
}
