// A message by mail, through the server that the workshop file names.
import { type Message, mailOf } from "./message.ts";

export interface Mailbox {
  smtp: string;
  to: readonly string[];
  from: string;
  user: { name: string; password: string } | null;
}

const TIMEOUT_MS = 10_000;

/** Resolves where the mail server took it; throws an error with its reason otherwise. */
export const mailMessage = (mailbox: Mailbox, message: Message, messageId: string): Promise<void> =>
  sendMail(mailbox, mailOf(message), messageId);

export interface Mail {
  subject: string;
  text: string;
  html?: string;
}

/** As above, for any mail. */
export async function sendMail(
  { smtp, to, from, user }: Mailbox,
  { subject, text, html }: Mail,
  messageId: string,
): Promise<void> {
  const { createTransport } = await import("nodemailer");
  const { hostname, port, protocol } = new URL(smtp);
  const secure = protocol === "smtps:";
  const transport = createTransport({
    host: hostname,
    port: port === "" ? (secure ? 465 : 587) : Number(port),
    secure,
    connectionTimeout: TIMEOUT_MS,
    greetingTimeout: TIMEOUT_MS,
    socketTimeout: TIMEOUT_MS,
    disableFileAccess: true,
    disableUrlAccess: true,
    ...(user === null ? {} : { auth: { user: user.name, pass: user.password } }),
  });
  try {
    await transport.sendMail({ from, to: [...to], messageId, subject, text, ...(html === undefined ? {} : { html }) });
  } finally {
    transport.close();
  }
}
