// A figure on a page: title, unit, picture that is filled in, its values by pointer and arrow keys, its table, downloads, workings.
import type { ComponentChildren, ComponentProps, JSX } from "preact";
import { useContext, useEffect, useId, useRef, useState } from "preact/hooks";
import type { Workings } from "../ask/answers.ts";
import { addressOf, NotAnswered, type Params, Refused } from "../ask/ask.ts";
import { bytesByFetch } from "../ask/ask-by-fetch.ts";
import { Live } from "../frame/live.ts";
import { Wide } from "../frame/wide.tsx";
import type { Reader } from "../words/reader.ts";
import type { Chart, ChartName, ChartRows, ChartSettings, Drawn, NumbersTable } from "./chart.ts";

export interface FigureProps<Name extends ChartName> {
  chart: Name;
  title: string;
  unit: string;
  settings: ChartSettings[Name];
  reader: Reader;
  workings: Workings;
  /** Where the rows come from; fetched as Arrow when the page has arrived, unless the page brought them. */
  source?: { command: string; params: Params };
  rows?: readonly ChartRows[Name][];
  children?: ComponentChildren;
}

type Drawing = typeof import("./charts.ts");

interface Filled<Name extends ChartName> {
  drawing: Drawing;
  rows: readonly ChartRows[Name][];
}

export function Figure<Name extends ChartName>(props: FigureProps<Name>): JSX.Element {
  const { chart, title, unit, settings, reader, workings, source, children } = props;
  const { filled, problem } = useRows(props);
  const titleId = useId();
  const plate = useRef<HTMLDivElement>(null);
  const table = filled ? tableOf(filled.drawing, chart, filled.rows, settings, reader) : null;
  return (
    <figure class="figure" aria-labelledby={titleId}>
      <figcaption>
        <h3 id={titleId}>{title}</h3>
        <p class="unit">{unit}</p>
      </figcaption>
      {children ? <div class="legend">{children}</div> : null}
      {problem ? (
        <p class="problem" role="status">
          {problem}
        </p>
      ) : filled && !table ? (
        <p class="nothing">Nothing of this kind is in the log for these days.</p>
      ) : (
        <Plate name={titleId} plate={plate} {...{ chart, title, settings, reader }} filled={filled} />
      )}
      {source ? (
        <noscript>
          <p class="nothing">
            The picture needs scripts. <a href={addressOf(source.command, source.params)}>Its numbers as JSON</a>
          </p>
        </noscript>
      ) : null}
      <div class="below">
        <details>
          <summary>The numbers</summary>
          {table ? <Numbers table={table} title={title} /> : <p>They come with the picture.</p>}
        </details>
        <details>
          <summary>How this was worked out</summary>
          <WorkingsList workings={workings} address={source ? addressOf(source.command, source.params) : null} />
        </details>
        {filled && table ? (
          <p class="take-away">
            <button type="button" onClick={() => takeNumbers(filled.drawing, title, table, source)}>
              CSV
            </button>
            <button type="button" onClick={() => takePicture(filled.drawing, title, plate.current)}>
              Picture
            </button>
          </p>
        ) : null}
      </div>
    </figure>
  );
}

/** Formula, inputs, questions and remarks. */
export function WorkingsList({
  workings: { formula, inputs, queries, notes },
  address,
}: {
  workings: Workings;
  address: string | null;
}): JSX.Element {
  return (
    <dl class="workings">
      <dt>Formula</dt>
      <dd>{formula}</dd>
      <dt>From</dt>
      <dd>
        {Object.entries(inputs)
          .map(([name, value]) => `${name}: ${value}`)
          .join("; ")}
      </dd>
      <dt>Asked by</dt>
      <dd>
        {queries.map((query) => (
          <code key={query}>{query} </code>
        ))}
      </dd>
      {address ? (
        <>
          <dt>Address</dt>
          <dd>
            <code>{address}</code>
          </dd>
        </>
      ) : null}
      {notes.length ? (
        <>
          <dt>Remarks</dt>
          {notes.map((note) => (
            <dd key={note}>{note}</dd>
          ))}
        </>
      ) : null}
    </dl>
  );
}

function tableOf<Name extends ChartName>(
  drawing: Drawing,
  name: Name,
  rows: readonly ChartRows[Name][],
  settings: ChartSettings[Name],
  reader: Reader,
): NumbersTable | null {
  const chart = drawing.charts[name] as Chart<ChartRows[Name], ChartSettings[Name]>;
  return chart.table(rows, settings, reader);
}

const sourceBytes = new Map<string, { revision: number; bytes: Promise<Uint8Array> }>();

/** Figures that ask the same share one answer, until something changed. */
function sharedBytes(command: string, params: Params, revision: number): Promise<Uint8Array> {
  const address = addressOf(command, params);
  const known = sourceBytes.get(address);
  if (known?.revision === revision) return known.bytes;
  const bytes = bytesByFetch(command, params, "application/vnd.apache.arrow.stream");
  sourceBytes.set(address, { revision, bytes });
  bytes.catch(() => sourceBytes.delete(address));
  return bytes;
}

function useRows<Name extends ChartName>({
  source,
  rows,
}: FigureProps<Name>): { filled: Filled<Name> | null; problem: string | null } {
  const { revision } = useContext(Live);
  const [state, setState] = useState<{ filled: Filled<Name> | null; problem: string | null }>({ filled: null, problem: null });
  const address = source ? addressOf(source.command, source.params) : null;
  const seen = useRef<{ address: string; bytes: Uint8Array } | null>(null);
  useEffect(() => {
    let isWanted = true;
    const fill = async () => {
      const drawing = await import("./charts.ts");
      if (rows || !source) {
        if (isWanted) setState({ filled: { drawing, rows: rows ?? [] }, problem: null });
        return;
      }
      const bytes = await sharedBytes(source.command, source.params, revision);
      const before = seen.current;
      const isSame =
        before?.address === address && before.bytes.length === bytes.length && before.bytes.every((byte, i) => byte === bytes[i]);
      if (!isWanted || isSame) return;
      seen.current = { address: address!, bytes };
      setState({ filled: { drawing, rows: drawing.rowsFromArrow<ChartRows[Name]>(bytes) }, problem: null });
    };
    fill().catch((error: unknown) => {
      if (isWanted) setState({ filled: null, problem: problemWords(error) });
    });
    return () => {
      isWanted = false;
    };
  }, [address, revision, rows]);
  return state;
}

function problemWords(error: unknown): string {
  if (error instanceof Refused) return "This picture needs rights that you don't have.";
  if (error instanceof NotAnswered) return `The picture could not be filled in: ${error.message}.`;
  throw error;
}

interface PlateProps<Name extends ChartName> {
  name: string;
  chart: Name;
  title: string;
  settings: ChartSettings[Name];
  reader: Reader;
  filled: Filled<Name> | null;
  plate: { current: HTMLDivElement | null };
}

/** The picture and the mark that reads its values: a slider for keyboards and screen readers, the nearest mark for pointers. */
function Plate<Name extends ChartName>({ name, chart, title, settings, reader, filled, plate }: PlateProps<Name>): JSX.Element {
  const [drawn, setDrawn] = useState<Drawn | null>(null);
  const [at, setAt] = useState<number | null>(null);
  const width = useWidth(plate);
  const picture = useRef<HTMLDivElement>(null);
  const settingsText = JSON.stringify(settings);
  useEffect(() => {
    if (!filled || width === 0 || !picture.current) return;
    const each = filled.drawing.charts[chart] as Chart<ChartRows[Name], ChartSettings[Name]>;
    const next = each.draw(filled.rows, settings, { width, reader, document });
    filled.drawing.dress(next.figure);
    picture.current.replaceChildren(next.figure);
    setDrawn(next);
    setAt((old) => (old !== null && old < next.marks.length ? old : null));
  }, [filled, width, settingsText, reader.locale]);
  const marks = drawn?.marks ?? [];
  const mark = at === null ? undefined : marks[at];
  const move = (event: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: drawn?.stride ?? 1, ArrowUp: -(drawn?.stride ?? 1) }[event.key];
    const next =
      event.key === "Home"
        ? 0
        : event.key === "End"
          ? marks.length - 1
          : step === undefined
            ? null
            : (at ?? (step > 0 ? -step : marks.length)) + step;
    if (next === null) return;
    event.preventDefault();
    setAt(Math.max(0, Math.min(marks.length - 1, next)));
  };
  const point = (event: PointerEvent) => {
    if (!filled || !plate.current || marks.length === 0) return;
    const box = plate.current.getBoundingClientRect();
    setAt(
      filled.drawing.nearestMark(
        marks,
        event.clientX - box.left,
        event.clientY - box.top,
        (drawn?.stride ?? 1) > 1 || isUpright(marks),
      ),
    );
  };
  const slider: ComponentProps<"div"> =
    marks.length > 0
      ? {
          role: "slider",
          tabIndex: 0,
          "aria-labelledby": name,
          "aria-valuemin": 0,
          "aria-valuemax": marks.length - 1,
          "aria-valuenow": at ?? 0,
          "aria-valuetext": (mark ?? marks[0])!.says,
          onKeyDown: move,
          onFocus: () => setAt((old) => old ?? 0),
          onPointerMove: point,
          onPointerDown: point,
          onPointerLeave: (event) => {
            if (event.pointerType !== "touch" && event.currentTarget !== document.activeElement) setAt(null);
          },
          onBlur: () => setAt(null),
        }
      : {};
  return (
    <>
      <div class="plate" ref={plate} data-chart={chart} data-drawn={drawn ? "" : undefined} {...slider}>
        <div class="picture" ref={picture} />
        {mark ? <span class="reading-mark" style={{ left: `${mark.x}px`, top: `${mark.y}px` }} /> : null}
      </div>
      <p class={mark ? "readout" : "readout hint"} aria-hidden="true">
        {mark ? mark.says : drawn ? "Point, touch or use the arrow keys to read a value." : `${title} is being drawn …`}
      </p>
    </>
  );
}

const isUpright = (marks: Drawn["marks"]): boolean =>
  new Set(marks.map(({ y }) => y)).size === marks.length && marks.every(({ y }, i) => i === 0 || y > marks[i - 1]!.y);

function useWidth(element: { current: HTMLElement | null }): number {
  const [width, setWidth] = useState(0);
  useEffect(() => {
    if (!element.current) return;
    const observer = new ResizeObserver(([entry]) => setWidth(Math.floor(entry?.contentRect.width ?? 0)));
    observer.observe(element.current);
    return () => observer.disconnect();
  }, [element]);
  return width;
}

/** A figure's numbers as a table whose first column is each row's head. */
export function Numbers({ table: { head, body }, title }: { table: NumbersTable; title: string }): JSX.Element {
  return (
    <Wide name={`${title}, the numbers`}>
      <table class="numbers">
        <thead>
          <tr>
            {head.map((cell) => (
              <th scope="col" key={cell}>
                {cell}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {body.map(([first, ...rest], i) => (
            <tr key={`${i} ${first}`}>
              <th scope="row">{first}</th>
              {rest.map((cell, j) => (
                <td key={head[j + 1]}>{cell}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

async function takeNumbers(
  drawing: Drawing,
  title: string,
  table: NumbersTable,
  source: FigureProps<ChartName>["source"],
): Promise<void> {
  if (!source) return offer(drawing.fileFromTable(table), `${fileName(title)}.csv`);
  const bytes = await bytesByFetch(source.command, source.params, "text/csv");
  offer(new Blob([bytes as BlobPart], { type: "text/csv" }), `${fileName(title)}.csv`);
}

function takePicture(drawing: Drawing, title: string, plate: HTMLElement | null): void {
  const svg = plate?.querySelector<SVGElement>("svg");
  if (svg) offer(drawing.pictureOf(svg, title), `${fileName(title)}.svg`);
}

const fileName = (title: string): string =>
  title
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, "-")
    .replaceAll(/^-|-$/g, "");

function offer(file: Blob, name: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
