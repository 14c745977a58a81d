// Where the process that holds a store can be spoken to: a local socket, named in a file beside the store.
import { createHash } from "node:crypto";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** The file beside the store that names the socket. */
export const noteFile = (store: string): string => `${store}.held-by.json`;

export interface Note {
  pid: number;
  socket: string;
  since: string;
}

const longestSocketPath = 100;

/** A path for the socket: in the store's work folder, or, where that is too long for the system, in the temporary folder. */
export function socketPath(store: string, workDir: string): string {
  if (process.platform === "win32") return `\\\\.\\pipe\\almanac-${fingerprint(store)}`;
  const near = join(workDir, "almanac.sock");
  return Buffer.byteLength(near) <= longestSocketPath
    ? near
    : join(tmpdir(), `almanac-${process.getuid?.() ?? 0}-${fingerprint(store)}.sock`);
}

const fingerprint = (store: string): string => createHash("sha256").update(store).digest("hex").slice(0, 16);
