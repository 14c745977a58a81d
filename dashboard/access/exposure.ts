// How far a server may be heard: this computer only, or beyond, and what that takes.
import { X509Certificate } from "node:crypto";
import { BlockList, isIP } from "node:net";
import { UsageError } from "../../shared/errors.ts";

export interface Exposure {
  /** The address to listen on. */
  host: string;
  /** Certificate and key in PEM, where the server speaks TLS itself. */
  tls: { cert: Buffer; key: Buffer } | null;
  /** The name readers know a proxy in front by, where there is one; it speaks TLS to them. */
  proxy: string | null;
  /** Addresses or subnets the proxy comes from, this computer aside. */
  proxyFrom: readonly string[];
  /** Names it answers to besides. */
  names: readonly string[];
}

export const loopbackNames = ["127.0.0.1", "localhost", "[::1]"];

const loopback = new BlockList();
loopback.addSubnet("127.0.0.0", 8, "ipv4");
loopback.addAddress("::1", "ipv6");

export const isLoopback = (host: string): boolean => {
  const plain = host.replace(/^\[|\]$/g, "").replace(/^::ffff:(?=\d+\.)/i, "");
  const kind = isIP(plain);
  return plain === "localhost" || (kind !== 0 && loopback.check(plain, kind === 6 ? "ipv6" : "ipv4"));
};

/** Only this computer can reach it. */
export const isPrivate = ({ host, proxy }: Exposure): boolean => isLoopback(host) && proxy === null;

/** Throws UsageError where the server must not be heard that far. */
export function refuseExposed(exposure: Exposure, hasSteward: boolean): void {
  if (isPrivate(exposure)) return;
  const { host, proxy, tls } = exposure;
  const [field, value] = isLoopback(host) ? ["proxy", proxy] : ["host", host];
  if (!hasSteward)
    throw new UsageError({
      field,
      value,
      expected:
        "127.0.0.1, the default, without a proxy, until somebody can be asked who they are: almanac account add NAME --role steward",
    });
  if (!isLoopback(host) && !tls && proxy === null)
    throw new UsageError({
      field,
      value,
      expected:
        "--cert FILE and --key FILE with it, or --proxy NAME for a proxy that speaks TLS: passwords don't travel in the clear",
    });
}

/** Every name that a request may call the server by. */
export function namesOf({ host, tls, proxy, names }: Exposure): string[] {
  const own = isLoopback(host) || ["0.0.0.0", "::"].includes(host) ? [] : [host.includes(":") ? `[${host}]` : host];
  const all = [...loopbackNames, ...own, ...(proxy ? [proxy] : []), ...names, ...(tls ? namesOfCertificate(tls.cert) : [])];
  return [...new Set(all.map((name) => name.toLowerCase()))];
}

/** DNS names and addresses of a certificate (subjectAltName); a wildcard names no host. */
export function namesOfCertificate(cert: Buffer): string[] {
  const { subjectAltName = "" } = new X509Certificate(cert);
  return subjectAltName
    .split(", ")
    .map((entry) => /^(?:DNS|IP Address):"?([^"]+)"?$/.exec(entry)?.[1] ?? "")
    .filter((name) => name !== "" && !name.includes("*"))
    .map((name) => (isIP(name) === 6 ? `[${name.toLowerCase()}]` : name));
}
