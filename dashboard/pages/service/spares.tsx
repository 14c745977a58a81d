// The shopping list: parts likely to be needed, what to hold, when to order. Made to be printed on one sheet.
import type { JSX } from "preact";
import { isInsufficient } from "../../../shared/errors.ts";
import { Wide } from "../frame/wide.tsx";
import { Key } from "../leaves/entry.tsx";
import { leaf, type Visit } from "../leaves/leaf.ts";
import type { ServiceAnswers, SpareRow } from "./answers.ts";

type Data = ServiceAnswers["spares"];

export const sparesLeaf = leaf<Data>({
  id: "spares",
  path: "/spares",
  need: "see-service",
  readsLog: false,
  hasPeriod: false,
  title: () => "Shopping list",
  load: ({ ask }) => ask("spares"),
  View,
});

const isWanted = ({ toBuy, orderBy }: SpareRow): boolean => orderBy !== null || (toBuy ?? 0) > 0;

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader } = visit;
  const { days, serviceLevel, parts } = data;
  const wanted = parts.filter(isWanted).sort((a, b) => (a.orderBy ?? "9999").localeCompare(b.orderBy ?? "9999"));
  const others = parts.filter((row) => !isWanted(row));
  const money = wanted.reduce((sum, { toBuy, price }) => sum + (toBuy ?? 0) * (price ?? 0), 0);
  return (
    <>
      <h1>Shopping list</h1>
      <p class="lead">
        <Key>{reader.count(wanted.length)}</Key> {wanted.length === 1 ? "part" : "parts"} to see to for the next{" "}
        {reader.count(days)} days, so that what is held is enough {reader.count(Math.round(100 * serviceLevel))} times in a
        hundred
        {money > 0 ? `; about ${reader.figure(money)} in all where prices are known` : ""}.
      </p>
      <p>
        <a class="quiet" href="/service">
          Service
        </a>
      </p>
      {wanted.length === 0 ? <p>Nothing has to be ordered.</p> : <Rows name="To order" rows={wanted} visit={visit} />}
      {others.length === 0 ? null : <Rows name="Enough, or not known" rows={others} visit={visit} />}
      <p class="note">
        By simulation of use and of lives. Whether a part fits, and whether it is the maker's, stands in the machine's manual.
      </p>
    </>
  );
}

function Rows({ name, rows, visit }: { name: string; rows: readonly SpareRow[]; visit: Visit }): JSX.Element {
  const { reader } = visit;
  return (
    <section>
      <h2>{name}</h2>
      <Wide name={name}>
        <table class="shopping">
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col">Order by</th>
              <th scope="col">Pieces</th>
              <th scope="col">On the shelf</th>
              <th scope="col">Likely needed</th>
              <th scope="col">To hold</th>
              <th scope="col">Price</th>
              <th scope="col">Days to come</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={`${row.machine} ${row.part}`}>
                <th scope="row">
                  {row.machineName}, {row.partName}
                </th>
                <td>{row.orderBy === null ? "–" : reader.day(row.orderBy)}</td>
                <td>{row.toBuy === null ? "count first" : reader.count(row.toBuy)}</td>
                <td>{row.inStock === null ? "not counted" : reader.count(row.inStock)}</td>
                <td>
                  {isInsufficient(row.needed)
                    ? "too little known"
                    : `${reader.figure(row.needed.best, 2)} (${reader.count(row.needed.low)}–${reader.count(row.needed.high)})`}
                </td>
                <td>{isInsufficient(row.hold) ? "–" : reader.count(row.hold)}</td>
                <td>{row.price === null ? "–" : reader.figure(row.price)}</td>
                <td>{row.leadDays === null ? "–" : reader.count(row.leadDays)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
