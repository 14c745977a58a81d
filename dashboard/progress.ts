// A bar with rate and time left on a terminal; quiet otherwise.
import { SingleBar } from "cli-progress";
import type { Progress } from "./commands/command.ts";

export const quiet: Progress = { update: () => undefined, end: () => undefined };

export function barProgress(stream: NodeJS.WriteStream): Progress {
  let bar: SingleBar | null = null;
  return {
    update(done, total, what) {
      if (!bar) {
        bar = new SingleBar({
          stream,
          format: "{what} {bar} {percentage}% · {rate} a second · {eta_formatted} left",
          hideCursor: true,
          clearOnComplete: true,
        });
        bar.start(total, 0, { what, rate: 0 });
      }
      const seconds = (Date.now() - startedAt) / 1000;
      bar.setTotal(total);
      bar.update(done, { what, rate: seconds > 0 ? Math.round(done / seconds).toLocaleString("en") : 0 });
    },
    end() {
      bar?.stop();
      bar = null;
    },
  };
}

const startedAt = Date.now();
