// Asks for a secret at a terminal without showing it.
import { createInterface } from "node:readline";
import { Writable } from "node:stream";
import { UsageError } from "../shared/errors.ts";

type Terminal = { input: NodeJS.ReadStream; output: NodeJS.WritableStream };

/** Asks twice; throws UsageError where the two differ. */
export async function askSecretTwice(terminal: Terminal): Promise<string> {
  const first = await askSecret("New password: ", terminal);
  if (first === (await askSecret("The same once more: ", terminal))) return first;
  throw new UsageError({ field: "password", value: null, expected: "the same twice" });
}

async function askSecret(prompt: string, { input, output }: Terminal): Promise<string> {
  const silent = new Writable({ write: (_part, _encoding, done) => done() });
  const lines = createInterface({ input, output: silent, terminal: true });
  output.write(prompt);
  try {
    return await new Promise<string>((done, fail) => {
      lines.once("SIGINT", () => fail(new UsageError({ field: "password", value: null, expected: "one to be typed" })));
      lines.question("", done);
    });
  } finally {
    lines.close();
    output.write("\n");
  }
}
