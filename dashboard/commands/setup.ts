import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { type Command, type Surroundings, storeCommand } from "./command.ts";

const setup = () => import("../setup/setup.ts");

const place = z.array(z.union([z.string(), z.number().int().min(0)])).min(1);

const changeShape = z.strictObject({
  edits: z
    .array(z.strictObject({ path: place, value: z.unknown() }))
    .max(400)
    .optional(),
  text: z.string().max(2_000_000).optional(),
  version: z.string().optional(),
  mark: z.string().nullable(),
  accept: z.boolean().default(false),
});

const lookShape = z.strictObject({ upload: z.string(), profile: z.string().nullable().default(null) });

const readShape = lookShape.extend({
  name: z.string().optional(),
  zone: z.string().optional(),
  currency: z.string().optional(),
});

/** What was sent or piped in, as one JSON object of this shape. */
async function sentAs<S extends z.ZodType>(shape: S, { stdin }: Surroundings, like: string): Promise<z.output<S>> {
  let sent: unknown;
  try {
    sent = JSON.parse(await stdin());
  } catch {
    throw new UsageError({ field: "body", value: null, expected: `one JSON object like ${like}` });
  }
  const read = shape.safeParse(sent);
  if (read.success) return read.data;
  const [issue] = read.error.issues;
  throw new UsageError({
    field: issue?.path.join(".") || "body",
    value: null,
    expected: `${issue?.message ?? "something else"}; like ${like}`,
  });
}

const show = storeCommand({
  name: "setup show",
  summary: "the workshop file as it stands: its problems, its earlier versions, stations that no machine claims",
  examples: ["almanac setup show --json"],
  options: z.object({}),
  needs: "reads",
  goesWithoutWorkshop: true,
  http: "GET",
  need: "do-setup",
  async run(desk) {
    const answer = await (await setup()).setupAsItStands(desk);
    const { file, state, problems, stations } = answer.head as {
      file: string;
      state: string;
      problems: unknown[];
      stations: { station: string }[];
    };
    const unclaimed = stations.map(({ station }) => station).join(", ");
    return {
      ...answer,
      text: `${file}: ${state}, ${problems.length} problems; stations that no machine claims: ${unclaimed || "none"}\n`,
    };
  },
});

const change = storeCommand({
  name: "setup change",
  summary:
    'change the workshop file by places and values, read as JSON from standard input; shown first, written with "accept": true',
  examples: [
    `echo '{"mark":"0f3c…","edits":[{"path":["machines",0,"name"],"value":"Band saw"}]}' | almanac setup change`,
    `echo '{"mark":"0f3c…","version":"workshop.yaml.2026-03-01T09-00-00.000Z","accept":true}' | almanac setup change`,
  ],
  options: z.object({}),
  readsStdin: true,
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "setup/change",
  need: "do-setup",
  async run(desk) {
    const { changeWorkshop } = await setup();
    const sent = await sentAs(
      changeShape,
      desk.surroundings,
      '{"mark": …, "edits": [{"path": ["workshop", "name"], "value": "…"}]}',
    );
    return changeWorkshop(desk, sent, new Date());
  },
});

const look = storeCommand({
  name: "setup look",
  summary: "how the first rows of a log dropped on the dashboard would be read",
  examples: [`echo '{"upload":"4a…"}' | almanac setup look`],
  options: z.object({}),
  readsStdin: true,
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "setup/look",
  need: "do-setup",
  async run(desk) {
    const { lookAtLog } = await setup();
    return lookAtLog(desk, await sentAs(lookShape, desk.surroundings, '{"upload": "…"}'));
  },
});

const read = storeCommand({
  name: "setup read",
  summary: "read a log dropped on the dashboard, and write the first workshop file where there is none",
  examples: [`echo '{"upload":"4a…","profile":"…","name":"Quarry Street","zone":"America/Halifax"}' | almanac setup read`],
  options: z.object({}),
  readsStdin: true,
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "setup/read",
  need: "do-setup",
  async run(desk) {
    const { readLog } = await setup();
    return readLog(desk, await sentAs(readShape, desk.surroundings, '{"upload": "…", "name": "…", "zone": "…"}'), new Date());
  },
});

export const setupCommands: readonly Command[] = [show, change, look, read];
