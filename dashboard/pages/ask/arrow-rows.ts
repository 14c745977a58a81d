// An Arrow stream as plain rows, in the nested shape that JSON has.
import { DataType, type Field, tableFromIPC } from "apache-arrow";

/** `enabledHours_low` becomes `enabledHours.low`; days become YYYY-MM-DD, instants RFC 3339, counts plain numbers. */
export function rowsFromArrow<Row>(bytes: Uint8Array): Row[] {
  const table = tableFromIPC(bytes);
  const rows: Record<string, unknown>[] = Array.from({ length: table.numRows }, () => ({}));
  for (const [i, field] of table.schema.fields.entries()) {
    const vector = table.getChildAt(i);
    const [outer, inner] = nameParts(field.name);
    for (const [at, row] of rows.entries()) {
      const value = plain(vector?.get(at), field);
      if (inner === undefined) row[outer] = value;
      else {
        const nested = (row[outer] ?? {}) as Record<string, unknown>;
        nested[inner] = value;
        row[outer] = nested;
      }
    }
  }
  return rows as Row[];
}

function nameParts(name: string): [string, string | undefined] {
  const at = name.lastIndexOf("_");
  return at > 0 ? [name.slice(0, at), name.slice(at + 1)] : [name, undefined];
}

function plain(value: unknown, field: Field): unknown {
  if (value === null || value === undefined) return null;
  if (typeof value === "bigint") return Number(value);
  if (!DataType.isDate(field.type) && !DataType.isTimestamp(field.type)) return value;
  const at = new Date(value instanceof Date ? value.getTime() : Number(value)).toISOString();
  return isWholeDay(field) ? at.slice(0, 10) : at;
}

const isWholeDay = (field: Field): boolean => field.name === "day" || (DataType.isDate(field.type) && field.type.unit === 0);
