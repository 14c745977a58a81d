// Things to come, earliest first; at one instant in the order in which they were put.
export interface Agenda<T> {
  put(time: number, item: T): void;
  next(): { time: number; item: T } | null;
  peekTime(): number;
}

export function newAgenda<T>(): Agenda<T> {
  const times: number[] = [];
  const orders: number[] = [];
  const items: T[] = [];
  let count = 0;
  const isBefore = (a: number, b: number) => times[a]! < times[b]! || (times[a] === times[b] && orders[a]! < orders[b]!);
  const swap = (a: number, b: number) => {
    [times[a], times[b]] = [times[b]!, times[a]!];
    [orders[a], orders[b]] = [orders[b]!, orders[a]!];
    [items[a], items[b]] = [items[b]!, items[a]!];
  };
  return {
    put(time, item) {
      let child = times.length;
      times.push(time);
      orders.push(count);
      items.push(item);
      count += 1;
      while (child > 0) {
        const parent = (child - 1) >> 1;
        if (!isBefore(child, parent)) break;
        swap(child, parent);
        child = parent;
      }
    },
    next() {
      const last = times.length - 1;
      if (last < 0) return null;
      swap(0, last);
      const found = { time: times.pop()!, item: items.pop()! };
      orders.pop();
      for (let parent = 0; ; ) {
        const left = 2 * parent + 1;
        const right = left + 1;
        let least = parent;
        if (left < last && isBefore(left, least)) least = left;
        if (right < last && isBefore(right, least)) least = right;
        if (least === parent) break;
        swap(parent, least);
        parent = least;
      }
      return found;
    },
    peekTime: () => times[0] ?? Number.POSITIVE_INFINITY,
  };
}
