// What is on the shelf for a machine's parts, and pieces that came or were counted.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Wide } from "../frame/wide.tsx";
import type { Reader } from "../words/reader.ts";
import type { ShelfRow } from "./answers.ts";
import { post } from "./post.ts";

export function Shelf({ rows, mayTick, reader }: { rows: readonly ShelfRow[]; mayTick: boolean; reader: Reader }): JSX.Element {
  return (
    <>
      <Wide name="What is on the shelf">
        <table>
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col">On the shelf</th>
              <th scope="col">Price</th>
              <th scope="col">Serials, the one in the machine first</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ part, inStock, price, serials }) => (
              <tr key={part}>
                <th scope="row">{part}</th>
                <td>{inStock === null ? "nobody has counted" : reader.count(inStock)}</td>
                <td>{price === null ? "–" : reader.figure(price)}</td>
                <td>{serials.length === 0 ? "–" : serials.map(({ serial }) => serial).join(", ")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {mayTick ? rows.map((row) => <Count key={row.part} row={row} />) : null}
    </>
  );
}

function Count({ row }: { row: ShelfRow }): JSX.Element {
  const [pieces, setPieces] = useState("");
  const [said, setSaid] = useState<string | null>(null);
  const add = (kind: "count" | "bought"): void => {
    if (!/^\d+$/.test(pieces)) {
      setSaid("a whole number of pieces, please");
      return;
    }
    void post("stock", { machine: row.machine, part: row.part, kind, pieces: Number(pieces) }).then((problem) => {
      setSaid(problem ?? "Noted.");
      if (problem === null) setPieces("");
    });
  };
  return (
    <div class="typed">
      <p class="field">
        <label>
          {row.part}: pieces
          <input
            inputMode="numeric"
            autocomplete="off"
            value={pieces}
            onInput={(event) => setPieces((event.target as HTMLInputElement).value)}
          />
        </label>
      </p>
      <p class="buttons">
        <button type="button" onClick={() => add("count")}>
          So many are there
        </button>{" "}
        <button type="button" onClick={() => add("bought")}>
          So many were bought
        </button>
      </p>
      <p role="status">{said}</p>
    </div>
  );
}
