/* XML in slices, as a run's file is: a tokenizer that keeps nothing but the elements it is in. Pure.

   It never expands an entity of the file's own and fetches nothing: a document type ends the reading.
   Sources: Extensible Markup Language 1.0 (well-formedness); Namespaces in XML 1.0. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const MOST_DEPTH = 100;
  const MOST_TAG = 65536; // characters
  const ATTRIBUTE = /[ \t\r\n]+([^ \t\r\n=<>"'/]+)[ \t\r\n]*=[ \t\r\n]*(?:"([^<"]*)"|'([^<']*)')/y;
  const NAME = /^[A-Za-z_\u0080-\uffff][\w.\-\u0080-\uffff]*(?::[A-Za-z_\u0080-\uffff][\w.\-\u0080-\uffff]*)?$/;
  // eslint-disable-next-line no-control-regex
  const NOT_XML = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/;
  const KNOWN = { amp: "&", lt: "<", gt: ">", quot: '"', apos: "'" };
  const SPACE = /^[ \t\r\n]*$/;
  const XML = "http://www.w3.org/XML/1998/namespace";

  /* What a table itself has under a name that stood in a file, not what every object has. */
  const own = (table, name) =>
    (Object.prototype.hasOwnProperty.call(table, name) ? table[name] : undefined);

  function withoutEnd(text) {
    let end = text.length;
    while (end && " \t\r\n".includes(text[end - 1])) end -= 1;
    return text.slice(0, end);
  }

  /* What is wrong with a file: `code` names the sentence, `values` what stands in it. */
  class NotRead extends Error {
    constructor(code, values) {
      super(code);
      this.code = code;
      this.values = values || {};
    }
  }

  /* `see` has start(uri, name, attributes), end() and text(text), which may come in pieces.
     Attributes without a namespace alone are given on. feed(text) for each slice, then close(). */
  function xmlReader(see) {
    const open = []; // {raw, spaces}: names as written, and prefixes as they stood outside
    let spaces = Object.assign(Object.create(null), { "": "", xml: XML });
    let rest = "";
    let within = ""; // what ends the comment, instruction or CDATA that is open
    let line = 1;
    let begun = false;
    let done = false;

    function broken() {
      return new NotRead("broken", { line });
    }

    function passed(text) {
      for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1)) line += 1;
    }

    function resolved(text) {
      if (!text.includes("&")) return text;
      return text.replace(/&([^;&]{0,12});?/g, (whole, name) => {
        if (!whole.endsWith(";")) throw broken();
        if (own(KNOWN, name)) return own(KNOWN, name);
        const found = /^#(?:x([0-9a-fA-F]{1,6})|([0-9]{1,7}))$/.exec(name);
        const point = found ? parseInt(found[1] || found[2], found[1] ? 16 : 10) : 0;
        const isHalf = point >= 0xd800 && point <= 0xdfff;
        const letter = point && point <= 0x10ffff && !isHalf ? String.fromCodePoint(point) : "\u0000";
        if (NOT_XML.test(letter)) throw broken();
        return letter;
      });
    }

    function say(text, isPlain) {
      if (NOT_XML.test(text) || (isPlain && text.includes("]]>"))) throw broken();
      if (open.length) see.text(isPlain ? resolved(text) : text);
      else if (!SPACE.test(text)) throw broken();
    }

    function fullName(raw, isAttribute) {
      if (!NAME.test(raw)) throw broken();
      const colon = raw.indexOf(":");
      const prefix = colon < 0 ? "" : raw.slice(0, colon);
      if (colon < 0 && isAttribute) return ["", raw];
      if (!(prefix in spaces)) throw broken();
      return [spaces[prefix], raw.slice(colon + 1)];
    }

    function startTag(inside) {
      if (done) throw broken();
      const isEmpty = inside.endsWith("/");
      const text = withoutEnd(isEmpty ? inside.slice(0, -1) : inside);
      const raw = /^[^ \t\r\n/]*/.exec(text)[0];
      const written = new Map();
      let at = raw.length;
      while (at < text.length) {
        ATTRIBUTE.lastIndex = at;
        const found = ATTRIBUTE.exec(text);
        if (!found || written.has(found[1])) throw broken();
        written.set(found[1], resolved(found[2] === undefined ? found[3] : found[2]));
        at = ATTRIBUTE.lastIndex;
      }
      open.push({ raw, spaces });
      if (open.length > MOST_DEPTH) throw broken();
      for (const [name, value] of written) {
        if (name !== "xmlns" && !name.startsWith("xmlns:")) continue;
        if (spaces === open[open.length - 1].spaces) spaces = Object.create(spaces);
        const prefix = name.slice(6);
        if (prefix && !value) throw broken();
        spaces[prefix] = value;
      }
      const [uri, name] = fullName(raw, false);
      const plain = {};
      for (const [key, value] of written) {
        if (key === "xmlns" || key.startsWith("xmlns:")) continue;
        const [space, local] = fullName(key, true);
        if (!space) plain[local] = value;
      }
      begun = true;
      see.start(uri, name, plain);
      if (isEmpty) end();
    }

    function end() {
      spaces = open.pop().spaces;
      done = !open.length;
      see.end();
    }

    function endTag(inside) {
      const raw = withoutEnd(inside);
      if (!open.length || open[open.length - 1].raw !== raw) throw broken();
      end();
    }

    /* Where the tag that begins at `at` ends: a ">" in a quoted value is none. Below 0: not here yet. */
    function tagEnd(text, at) {
      const first = text.indexOf(">", at);
      if (first < 0) return first;
      const inside = text.slice(at, first);
      if (!inside.includes('"') && !inside.includes("'")) return first;
      let quote = "";
      for (let place = at; place < text.length; place += 1) {
        const letter = text[place];
        if (quote) quote = letter === quote ? "" : quote;
        else if (letter === '"' || letter === "'") quote = letter;
        else if (letter === ">") return place;
      }
      return -1;
    }

    /* One mark from `at` on: where the text goes on, or -1 where more has to come first. */
    function mark(text, at) {
      const kind = text[at + 1];
      if (kind === undefined) return -1;
      if (kind === "!") {
        const head = text.slice(at, at + 9);
        if (head.startsWith("<!--")) return opened("-->", at, 4);
        if (head === "<![CDATA[" && open.length) return opened("]]>", at, 9);
        if (head.startsWith("<!DOCTYPE")) throw new NotRead("doctype");
        if ("<!DOCTYPE".startsWith(head) || "<![CDATA[".startsWith(head) || head === "<!-") return -1;
        throw broken();
      }
      if (kind === "?") {
        if (text.length < at + 6) return -1;
        if (/^<\?xml[ \t\r\n?]/i.test(text.slice(at, at + 6)) && (begun || at || line > 1)) throw broken();
        begun = true;
        return opened("?>", at, 2);
      }
      const last = tagEnd(text, at + 1);
      if (last < 0) {
        if (text.length - at > MOST_TAG) throw broken();
        return -1;
      }
      if (last - at > MOST_TAG) throw broken();
      if (kind === "/") endTag(text.slice(at + 2, last));
      else startTag(text.slice(at + 1, last));
      passed(text.slice(at, last + 1));
      return last + 1;
    }

    function opened(ending, at, length) {
      within = ending;
      return at + length;
    }

    /* The inside of a comment, an instruction or CDATA; nothing of it is kept. */
    function inside(text, at) {
      const found = text.indexOf(within, at);
      const last = found < 0 ? Math.max(at, text.length - 2) : found;
      const piece = text.slice(at, last);
      if (NOT_XML.test(piece)) throw broken();
      if (within === "-->" && (piece.includes("--") || (found >= 0 && piece.endsWith("-")))) throw broken();
      if (within === "]]>") say(piece, false);
      passed(piece);
      if (found < 0) return [last, false];
      const next = found + within.length;
      within = "";
      return [next, true];
    }

    function feed(slice) {
      const text = rest + slice;
      let at = 0;
      for (;;) {
        if (within) {
          const [next, isOver] = inside(text, at);
          at = next;
          if (!isOver) break;
          continue;
        }
        const less = text.indexOf("<", at);
        if (less < 0) break;
        if (less > at) {
          say(text.slice(at, less), true);
          passed(text.slice(at, less));
          begun = true;
          at = less;
        }
        const next = mark(text, at);
        if (next < 0) break;
        at = next;
      }
      rest = text.slice(at);
      // Text that nobody waits for: of an endless one only the end stays, where an entity may stand.
      if (!within && rest.length > MOST_TAG && rest[0] !== "<") {
        const cut = rest.lastIndexOf("&") > rest.length - 16 ? rest.lastIndexOf("&") : rest.length - 2;
        say(rest.slice(0, cut), true);
        passed(rest.slice(0, cut));
        rest = rest.slice(cut);
      }
    }

    function close() {
      if (!within && rest && rest[0] !== "<" && !open.length) say(rest, true);
      else if (rest || within) {
        if (rest[0] !== "<") passed(rest);
        throw broken();
      }
      if (!done) throw broken();
    }

    return { feed, close };
  }

  parts.runFile = Object.assign(parts.runFile || {}, { xmlReader, NotRead, own });
})(typeof self === "undefined" ? globalThis : self);
