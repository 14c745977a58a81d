// The live sources that the workshop file names: a watched folder, a broker. They run while the dashboard is open.
import { mkdirSync, readFileSync } from "node:fs";
import { subscribeMqtt, watchFolder } from "../../ingest/index.ts";
import { pathBeside, type WorkshopFile } from "../../shared/index.ts";
import type { Intake } from "./intake.ts";

export interface Sources {
  close(): Promise<void>;
}

/** Starts them; what one of them can't read is said in the log, and the rest goes on. */
export function startSources({ path, workshop }: WorkshopFile, intake: Intake, log: (line: string) => void): Sources {
  const { folder, mqtt } = workshop.watch;
  const say = (source: string) => (error: unknown) => log(`${source}: ${error instanceof Error ? error.message : error}`);
  const running: { close(): Promise<void> }[] = [];
  if (folder !== undefined) {
    const watched = pathBeside(path, folder);
    mkdirSync(watched, { recursive: true });
    const deliver = async (delivery: Parameters<Intake["file"]>[0]) => void (await intake.file(delivery));
    running.push(watchFolder({ folder: watched, deliver, onError: (error, name) => say(`${folder}/${name}`)(error) }));
  }
  for (const topic of mqtt === undefined ? [] : [mqtt.topic].flat()) {
    const { url, username, password_file, profile, client_id = `almanac ${workshop.workshop.name}` } = mqtt!;
    running.push(
      subscribeMqtt({
        url,
        topic,
        clientId: `${client_id} ${topic}`.replace(/\W+/g, "-").toLowerCase(),
        ...(username === undefined ? {} : { username }),
        ...(password_file === undefined ? {} : { password: readFileSync(pathBeside(path, password_file), "utf8").trim() }),
        deliver: async ({ lines, refused }) => {
          for (const { topic: sender, messages, reason } of refused) log(`${sender}: ${messages} messages refused: ${reason}`);
          if (lines.length > 0) await intake.batch({ name: topic, lines, profile });
        },
        onError: say(url),
      }),
    );
  }
  return { close: async () => void (await Promise.all(running.map((source) => source.close()))) };
}
