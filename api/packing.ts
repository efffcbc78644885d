import { promisify } from "node:util";
import { brotliCompress, constants, gzip } from "node:zlib";

/** Encodings an answer can have besides none, best first. */
const ENCODINGS = ["br", "gzip"] as const;
export type Encoding = (typeof ENCODINGS)[number];

/** Shorter than one network packet, packing saves nothing. */
export const LEAST_PACKED_BYTES = 1000;

export type Bytes = Uint8Array<ArrayBuffer>;

const brotli = promisify(brotliCompress);
const deflate = promisify(gzip);

/**
 * Packed bytes, on a thread of the runtime's own.
 *
 * @param effort "once": for bytes sent often; "each": for an answer made for one request
 */
export async function pack(
  bytes: Bytes | string,
  encoding: Encoding,
  effort: "once" | "each",
): Promise<Bytes> {
  const packed =
    encoding === "br"
      ? await brotli(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: effort === "once" ? 11 : 4 } })
      : await deflate(bytes, { level: effort === "once" ? 9 : 5 });
  return packed as Bytes;
}

/** The best encoding both sides have; null for none. A quality of 0 refuses (RFC 9110, section 12.5.3). */
export function encodingFor(accepted: string | undefined): Encoding | null {
  if (accepted === undefined) return null;
  const refused = new Set<string>();
  const wanted = new Set<string>();
  for (const part of accepted.toLowerCase().split(",")) {
    const [name = "", ...parameters] = part.split(";").map((s) => s.trim());
    const isRefused = parameters.some((p) => /^q=0(?:\.0*)?$/.test(p));
    (isRefused ? refused : wanted).add(name);
  }
  const any = wanted.has("*");
  return ENCODINGS.find((e) => wanted.has(e) || (any && !refused.has(e))) ?? null;
}
