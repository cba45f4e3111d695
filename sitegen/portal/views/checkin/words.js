/* Words of danger in what a client writes, found at once and without a connection. The lists and every
   step come from the coach's side (sitegen/care/words.py and illness.py, handed over by
   sitegen/portal/wordlists.py), so that both find the same. A search for words, no diagnosis. Comes after the
   first picture. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* Python's patterns in this language's: \w, \d and \b know letters of any script there. Fragments
     that come again and again are given once, as "@D"; "%" is \w. */
  function createFinder(lists) {
    const compiled = new Map();

    function pattern(text, flags) {
      const key = flags + text;
      if (!compiled.has(key)) {
        let whole = text;
        while (whole.includes("@")) whole = whole.replace(/@./g, (part) => lists.parts[part.charCodeAt(1) - 65]);
        const ours = whole.replace(/%/g, "[\\p{L}\\p{N}_]").replace(/\\d/g, "\\p{Nd}")
          .replace(/\\b/g, "(?![\\p{L}\\p{N}_])");
        compiled.set(key, new RegExp(ours, flags));
      }
      return compiled.get(key);
    }
    const every = (text, clause) => Array.from(clause.matchAll(pattern(text, "gu")));
    const has = (text, clause) => pattern(text, "u").test(clause);
    const whole = (words) => "(?<!\\S)(?:" + words + ")(?!\\S)";
    const atStart = (text) => "^(?:" + text + ")";
    const endOf = (match) => match.index + match[0].length;

    function gap(marks) {
      if (/[…—–]/.test(marks)) return " , ";
      return marks === "/" ? "/" : " ";
    }

    /* Small letters without accents; "can't" is "cant", an empty line ends a sentence. */
    function plain(text) {
      return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase()
        .replace(/['’‘`´]/g, "")
        .replace(/\n[\s>]*\n/g, " . ")
        .replace(/(?<=\p{Nd})[.,](?=\p{Nd})/gu, "·")
        .replace(/[\s_>*"“”«»…/|–—-]+/g, gap);
    }

    const tight = (text) => text.replace(/([,.;!?:()])/g, " $1 ").trim().split(/\s+/).join(" ");

    function clausesOf(text) {
      return (" " + tight(plain(text)) + " ").split(/ (?:[.;!?]+ )+/).map((one) => one.trim()).filter(Boolean);
    }

    const denied = (language, before, after) =>
      has(language.before, before) || has(atStart(language.after), after);

    /* Whether somebody else is spoken of before these words, and not the writer as well. */
    function ofAnother(language, before, words) {
      const named = every(language.others, before);
      return named.length > 0
        && !has(language.self, " " + before.slice(endOf(named[named.length - 1])) + words);
    }

    /* "Almost fainted" is nearly fainting, and not fainting too: the longer words count. */
    function withoutMilder(matches) {
      const length = (one) => one.end - one.start;
      return matches.filter((one) => !matches.some((other) =>
        lists.twice.some((pair) => pair.includes(one.sign) && pair.includes(other.sign))
        && one.sign !== other.sign && other.start < one.end && one.start < other.end
        && length(other) > length(one)));
    }

    /* Whether a match belongs to a list of what is not there: "no dizziness or fainting". */
    function inDeniedList(language, clause, matches, found, at) {
      const { start } = matches[at];
      const before = Math.max(0, ...matches.slice(0, at).filter((_, n) => found[n]).map((one) => one.end));
      if (!before) return false;
      if (start < before) return true;
      let isList = false;
      const spans = [[0, before], ...matches.slice(at).map((one) => [one.start, one.end])];
      for (let n = 0; n + 1 < spans.length; n += 1) {
        const [, end] = spans[n];
        const [next] = spans[n + 1];
        if (next < end) continue;
        const link = clause.slice(end, next);
        if (!has(atStart(language.joins) + "$", link)) return end !== before && isList;
        isList = isList || has(language.lists, link);
      }
      return isList;
    }

    /* Where the part of a sentence begins and ends, between commas or a "but", with these words. */
    function partOf(clause, start, end) {
      const marks = every(lists.parted, clause);
      return [
        Math.max(0, ...marks.map(endOf).filter((at) => at <= start)),
        Math.min(clause.length, ...marks.map((one) => one.index).filter((at) => at >= end)),
      ];
    }

    /* Whether it is told of years ago; who thought of death then is asked about it now. */
    function isPast(clause, { sign, start, end }) {
      const part = clause.slice(...partOf(clause, start, end));
      return sign !== "self_harm" && has(whole(lists.past), part) && !has(whole(lists.so), part);
    }

    /* A hill explains a racing heart, but not one "while sitting at home, the race is soon". */
    function isExplained(language, explains, clause, { start, end }) {
      if (!explains.length) return false;
      const [first, last] = partOf(clause, start, end);
      if (explains.some((one) => first <= one.index && one.index < last)) return true;
      const since = Math.max(0, ...explains.map(endOf).filter((at) => at <= first));
      return !has(whole(language.calm), clause.slice(since, last))
        && !has(whole(language.lasting), clause.slice(first, last));
    }

    function ofRow(language, sign, [said, isThing, explains], clause) {
      const spans = (words) => (words ? every(whole(words), clause) : []);
      const things = spans(isThing);
      const near = spans(explains);
      return spans(said)
        .map((match) => ({ start: match.index, end: endOf(match), sign, words: match[0] }))
        .filter((one) => !things.some((thing) => thing.index < one.end && one.start < endOf(thing)))
        .map((one) => Object.assign(one, { explained: isExplained(language, near, clause, one) }));
    }

    function inClause(clause) {
      const found = [];
      for (const language of lists.languages) {
        const matches = [];
        for (const [at, sign] of language.signs.entries()) {
          for (const row of language.rows[at]) matches.push(...ofRow(language, sign, row, clause));
        }
        matches.sort((a, b) => a.start - b.start || a.end - b.end
          || (a.sign === b.sign ? 0 : a.sign < b.sign ? -1 : 1));
        const ordered = withoutMilder(matches);
        const no = [];
        for (const [at, one] of ordered.entries()) {
          const before = clause.slice(0, one.start);
          no.push(denied(language, before, clause.slice(one.end))
            || inDeniedList(language, clause, ordered, no, at));
          if (!no[at] && !one.explained && !isPast(clause, one) && !ofAnother(language, before, one.words)) {
            found.push(one);
          }
        }
      }
      return found;
    }

    function ownIn(clause, own) {
      const found = [];
      for (const phrase of own) {
        const wanted = tight(plain(phrase.replace(/\*+$/, "")));
        if (!wanted) continue;
        const end = phrase.trimEnd().endsWith("*") ? "\\S*" : "(?!\\S)";
        const match = clause.match(new RegExp("(?<!\\S)" + wanted.replace(/[.*+?^${}()|[\]\\]/g, "\\$&") + end, "u"));
        if (!match || lists.languages.some((one) => has(one.before, clause.slice(0, match.index)))) continue;
        found.push({ sign: "urgent_word", words: match[0] });
      }
      return found;
    }

    /* The signs of which a text tells, each once, and the words that tell of each: {sign: words}. */
    function said(text, own) {
      const found = {};
      for (const clause of clausesOf(text)) {
        for (const one of inClause(clause).concat(ownIn(clause, own))) {
          if (!(one.sign in found)) found[one.sign] = one.words.replace(/^[ ,]+|[ ,]+$/g, "");
        }
      }
      return found;
    }

    /* Whether a text tells of fever, the chest or the gut; `saysIll`: the check-in says "ill". */
    function isIll(text, saysIll) {
      const { ill } = lists;
      const found = (words) => clausesOf(text).some((clause) =>
        every(whole(words), clause).some((match) => {
          const before = clause.slice(0, match.index);
          const after = clause.slice(endOf(match));
          const part = clause.slice(...partOf(clause, match.index, endOf(match)));
          const isOld = has(ill.longAgo, part) && !has(ill.still, after);
          return !isOld && !has(ill.over, before) && !has(atStart(ill.gone), after)
            && !lists.languages.some((one) => denied(one, before, after) || ofAnother(one, before, ""));
        }));
      return found(ill.always) || (saysIll && found(ill.whenIll));
    }

    return { said, isIll };
  }

  /* Of an entry: {signs: {sign: words}, ill}. */
  function wordsOf(find, entry, own) {
    const { said = "", pain = {} } = entry;
    const text = [said, pain.site].filter(Boolean).join(". ");
    return {
      signs: text ? find.said(text, own) : {},
      ill: Boolean(said) && find.isIll(said, entry.skipped === "ill"),
    };
  }

  let find = null;
  parts.worries = {
    createFinder,
    wordsOf,
    /* What the page's own lists find. Nothing where the browser is too old for them. */
    of(entry, own) {
      try {
        find = find || createFinder(parts.wordLists);
        return wordsOf(find, entry, own);
      } catch (error) {
        return { signs: {}, ill: false };
      }
    },
  };
})(typeof self === "undefined" ? globalThis : self);
