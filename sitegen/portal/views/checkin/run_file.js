/* A run's own file read on the device: what kind of file it is, then slice by slice its runs, or a
   sentence that says what is wrong. Pure: bytes come from outside, and nothing of a place goes out. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const { NotRead, gpxReader, csvReader, limits, own } = parts.runFile;

  const SNIFFED = 1024; // bytes
  const PACKED = [[0x50, 0x4b, 3, 4], [0x1f, 0x8b], [0x42, 0x5a, 0x68], [0x37, 0x7a, 0xbc, 0xaf],
    [0x52, 0x61, 0x72, 0x21], [0xfd, 0x37, 0x7a, 0x58]]; // zip, gzip, bzip2, 7z, rar, xz
  const OURS = { "utf-8": "utf-8", utf8: "utf-8", "us-ascii": "windows-1252", ascii: "windows-1252",
    "iso-8859-1": "windows-1252", latin1: "windows-1252", "windows-1252": "windows-1252" };

  const DECLARED = new RegExp("^<\\?xml[ \\t\\r\\n]+version\\s*=\\s*([\"'])1\\.[0-9]+\\1"
    + "(?:\\s+encoding\\s*=\\s*([\"'])[A-Za-z][\\w.-]*\\2)?(?:\\s+standalone\\s*=\\s*([\"'])(?:yes|no)\\3)?\\s*\\?>");

  const begins = (bytes, mark) => mark.every((byte, at) => bytes[at] === byte);

  /* {kind: "gpx" or "csv", encoding} by how a file begins; throws NotRead. */
  function kindOf(bytes) {
    const head = bytes.slice(0, SNIFFED);
    if (PACKED.some((mark) => begins(head, mark))) throw new NotRead("packed");
    let encoding = "";
    if (begins(head, [0xff, 0xfe])) encoding = "utf-16le";
    if (begins(head, [0xfe, 0xff])) encoding = "utf-16be";
    if (begins(head, [0xef, 0xbb, 0xbf])) encoding = "utf-8";
    if (!encoding.startsWith("utf-16") && head.some((byte) => byte < 9 || (byte > 13 && byte < 32))) {
      throw new NotRead("other");
    }
    const text = new TextDecoder(encoding || "windows-1252").decode(head).replace(/^\ufeff/, "");
    const start = text.trimStart();
    if (!start) throw new NotRead("empty");
    if (/^<(?:!doctype html|html)/i.test(start)) throw new NotRead("web");
    if (/^[{[]/.test(start)) throw new NotRead("other");
    if (!start.startsWith("<")) return { kind: "csv", encoding: encoding || "utf-8" };
    if (/^<\?xml[ \t\r\n?]/.test(text) && !DECLARED.test(text)) throw new NotRead("broken", { line: 1 });
    const said = /^<\?xml[^>]*?encoding[ \t\r\n]*=[ \t\r\n]*["']([^"']*)["']/.exec(text);
    const named = encoding || (said ? own(OURS, said[1].toLowerCase()) : "utf-8");
    if (!named) throw new NotRead("encoding");
    return { kind: "gpx", encoding: named };
  }

  /* Runs of a file.

     size is in bytes, slice(from, to) gives bytes or their promise, local(ms) the device's clock as
     "2027-02-10T18:30:05". Gives {runs} or {wrong: {code, ...}}, whose sentence has the values. */
  async function readRunFile(size, slice, local) {
    try {
      if (size > limits.most_bytes) throw new NotRead("large", { most: limits.most_bytes / 1048576 });
      const { kind, encoding } = kindOf(new Uint8Array(await slice(0, SNIFFED)));
      try {
        return { runs: await readAs(kind, encoding, size, slice, local) };
      } catch (error) {
        // Spreadsheets save text as their system has it.
        if (error.code !== "encoding" || kind !== "csv" || encoding !== "utf-8") throw error;
        return { runs: await readAs(kind, "windows-1252", size, slice, local) };
      }
    } catch (error) {
      if (!(error instanceof NotRead)) throw error;
      return { wrong: Object.assign({ code: error.code }, error.values) };
    }
  }

  async function readAs(kind, encoding, size, slice, local) {
    const decoder = new TextDecoder(encoding, { fatal: true });
    const decoded = (...given) => {
      try {
        return decoder.decode(...given);
      } catch (error) {
        throw new NotRead("encoding");
      }
    };
    const reader = kind === "gpx" ? gpxReader(local) : csvReader(local);
    let held = ""; // a carriage return whose line feed may come with the next slice
    for (let at = 0; at < size; at += limits.slice_bytes) {
      const bytes = new Uint8Array(await slice(at, Math.min(size, at + limits.slice_bytes)));
      let text = held + decoded(bytes, { stream: true });
      held = text.endsWith("\r") ? "\r" : "";
      if (held) text = text.slice(0, -1);
      reader.feed(text.replace(/\r\n?/g, "\n"));
    }
    const last = held + decoded();
    if (last) reader.feed(last.replace(/\r\n?/g, "\n"));
    return reader.finish();
  }

  Object.assign(parts.runFile, { readRunFile });
})(typeof self === "undefined" ? globalThis : self);
