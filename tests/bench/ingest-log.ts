// A log of ten million events for measuring: the same bytes on every machine.
import { once } from "node:events";
import { createWriteStream } from "node:fs";

const STATIONS = 64;
const START = Date.UTC(2015, 0, 1);

/** Writes a log in the house format, about 34 bytes a line; local stamps in order, enable and release by turns on each station. */
export async function writeLog(path: string, events: number): Promise<void> {
  const out = createWriteStream(path, { highWaterMark: 1 << 20 });
  let text = "time,station,event,badge\n";
  let state = 417;
  const below = (limit: number): number => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % limit;
  };
  const holder = new Array<number>(STATIONS).fill(0);
  // Eleven years, whatever the number.
  const step = (11 * 365 * 86_400) / events;
  let seconds = 0;
  for (let event = 0; event < events; event++) {
    seconds += (step * below(2000)) / 1000;
    const station = below(STATIONS);
    const badge = holder[station] || 1000 + below(400);
    const isEnable = holder[station] === 0;
    holder[station] = isEnable ? badge : 0;
    const time = new Date(START + Math.floor(seconds) * 1000).toISOString();
    text += `${time.slice(0, 10)} ${time.slice(11, 19)},${station},${isEnable ? "enable" : "release"},${badge}\n`;
    if (text.length > 1 << 20) {
      if (!out.write(text)) await once(out, "drain");
      text = "";
    }
  }
  out.end(text);
  await once(out, "finish");
}
