// As much of a mail server as taking a message needs.
import { type AddressInfo, createServer } from "node:net";

export interface MailServer {
  url: string;
  /** What was taken, headers and all. */
  mails: string[];
  close(): Promise<unknown>;
}

/** Refuses the first few recipients. */
export async function mailServer(refusals = 0): Promise<MailServer> {
  const mails: string[] = [];
  let left = refusals;
  const server = createServer((socket) => {
    let text = "";
    let isData = false;
    socket.on("error", () => undefined);
    socket.write("220 stub\r\n");
    socket.on("data", (part) => {
      text += part.toString("utf8");
      for (;;) {
        const end = isData ? text.indexOf("\r\n.\r\n") : text.indexOf("\r\n");
        if (end < 0) return;
        const piece = text.slice(0, end);
        text = text.slice(end + (isData ? 5 : 2));
        if (isData) {
          isData = false;
          mails.push(piece);
          socket.write("250 taken\r\n");
        } else if (/^RCPT/i.test(piece) && left > 0) {
          left -= 1;
          socket.write("550 nobody of that name\r\n");
        } else if (/^DATA/i.test(piece)) {
          isData = true;
          socket.write("354 go on\r\n");
        } else if (/^QUIT/i.test(piece)) socket.end("221 bye\r\n");
        else socket.write("250 fine\r\n");
      }
    });
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  return {
    url: `smtp://127.0.0.1:${(server.address() as AddressInfo).port}`,
    mails,
    close: () => new Promise((done) => server.close(done)),
  };
}
