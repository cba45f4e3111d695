/* Listen, under Beat: the runner is led through four parts, and what the microphone made of them is
   told in numbers, with how sure they are. Its words come with it, in one language: portalListen, from
   sitegen/portal/listening.py. Nothing is kept here; a button puts the numbers into the check-in. In an
   audio graph this file does nothing. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const doc = world.document;
  if (!doc) return;

  const TICK_MS = 100;
  const PLACES = ["hand", "arm", "belt", "beside"];

  function init(view, portal) {
    const words = world.portalListen;
    const { fill, addDays, dayName } = parts.text;
    const { PARTS, TIMES, stretches, asks, withMotion, claims, entries, logText, wayOf, offered, isDeaf } =
      parts.check;
    const { motionRate, createPlayer, endless, screenKeeper, speak, buzz, AHEAD } = parts.beat;
    const say = (group, name, values) => fill(words[group][name], values || {});
    const number = (one) => one.toLocaleString(portal.data.language, { maximumFractionDigits: 1 });

    function make(tag, given, ...inside) {
      const element = Object.assign(doc.createElement(tag), given);
      element.append(...inside);
      return element;
    }
    const line = (name, values) => make("p", { textContent: say("page", name, values) });
    const button = (name, given) =>
      make("button", Object.assign({ type: "button", textContent: say("page", name) }, given));
    const list = (texts) => make("ul", {}, ...texts.map((textContent) => make("li", { textContent })));

    const start = button("start", { className: "b-main" });
    const stop = button("stop", { hidden: true });
    const now = make("p", { className: "b-now", tabIndex: -1 });
    const left = make("p", { className: "b-left" });
    const note = make("p", { className: "b-note" });
    const told = make("div", { hidden: true, className: "b-told" });
    const place = make("select", { id: "b-place" },
      ...PLACES.map((value) => make("option", { value, textContent: say("places", value) })));
    const byEar = make("div", { hidden: true }, make("h4", { textContent: say("page", "ear") }),
      list(["ear-within", "ear-usual", "ear-quieter", "ear-count", "ear-tell"]
        .map((name) => say("page", name))));
    const waits = make("p", { hidden: true });
    now.setAttribute("role", "status");
    note.setAttribute("role", "status");
    left.setAttribute("role", "timer");
    left.setAttribute("aria-live", "off");
    const before = make("div", {},
      line("intro"),
      list(["quiet", "phone", "alone", "calf"].map((name) => say("before", name))),
      make("p", { className: "b-pick" },
        make("label", { htmlFor: "b-place", textContent: say("page", "where") }), place));
    const offer = make("div", {}, before, now, left, make("p", { className: "b-buttons" }, start, stop), note);
    const box = make("section", { className: "b-count b-listen", id: "beat-listen" },
      make("h3", { id: "b-listen-title", textContent: say("page", "title") }),
      waits, offer, told, byEar, make("p", { className: "small", textContent: say("page", "tried") }));
    box.setAttribute("aria-labelledby", "b-listen-title");
    view.append(box);

    const awake = screenKeeper(() => {});
    let open = null; // the microphone, while it is open
    let run = 0; // counts checks, so that what answers late is left alone
    let timer = 0;
    let samples = null;

    function take(event) {
      const full = event.acceleration;
      const a = full && full.x !== null ? full : event.accelerationIncludingGravity;
      if (samples && a && a.x !== null) samples.push({ t: event.timeStamp / 1000, x: a.x, y: a.y, z: a.z });
    }

    /* What to do first, and the button that begins; after a check what was heard has the place. */
    function offerStart(isFirst) {
      before.hidden = !isFirst;
      start.textContent = say("page", isFirst ? "start" : "again");
      start.className = isFirst ? "b-main" : "";
    }

    /* Off at once: the tracks, the graph, the motion, the screen. */
    function end(name) {
      run += 1;
      if (open) open.close();
      open = null;
      samples = null;
      world.clearInterval(timer);
      world.removeEventListener("devicemotion", take);
      if (world.speechSynthesis) world.speechSynthesis.cancel();
      awake.off();
      const had = doc.activeElement === stop;
      start.hidden = false;
      stop.hidden = true;
      offerStart(name !== "done" && name !== "deaf");
      now.textContent = "";
      left.textContent = "";
      note.textContent = name ? say("page", name) : "";
      if (had) start.focus();
    }
    const isOn = () => !stop.hidden;

    function offerEar(name) {
      note.textContent = say("page", name);
      byEar.hidden = false;
    }

    async function motionAllowed() {
      const Motion = world.DeviceMotionEvent;
      if (!Motion) return;
      try {
        if (Motion.requestPermission) await Motion.requestPermission();
      } catch (error) {
        // Without it the check goes on, and says what it can't tell.
      }
    }

    async function begin() {
      if (doc.documentElement.hasAttribute("data-running")) {
        note.textContent = say("page", "busy");
        return;
      }
      const mine = (run += 1);
      start.hidden = true;
      stop.hidden = false;
      stop.focus();
      before.hidden = true; // what counts now stands first
      box.scrollIntoView();
      told.hidden = true;
      byEar.hidden = true;
      note.textContent = say("page", "asks");
      motionAllowed();
      let given;
      try {
        const script = portal.policy.createScriptURL(doc.documentElement.dataset.laterListen);
        given = await parts.microphone.openMicrophone(script, () => { if (run === mine) end("taken"); });
      } catch (error) {
        if (run !== mine) return;
        end("");
        offerEar("not-given");
        return;
      }
      if (run !== mine) { // left while the phone asked
        given.close();
        return;
      }
      open = given;
      awake.on();
      world.addEventListener("devicemotion", take);
      note.textContent = given.isFiltered() ? say("page", "filtered") : "";
      lead(mine);
    }

    /* Goes from stretch to stretch by the audio clock. */
    function lead(mine) {
      const { context } = open;
      const found = {};
      const pairs = [];
      const all = stretches(TIMES);
      const player = createPlayer(context);
      const spm = Number(view.querySelector("[data-b-rate]").textContent);
      let at = -1;
      let till = context.currentTime;
      let ear = null;
      let isAsking = false;

      function enter(one) {
        const number = PARTS.indexOf(one.part) + 1;
        const tell = (does) => { now.textContent = number + "/4 · " + say("does", does); };
        till = context.currentTime + one.end - one.start;
        if (one.kind === "ready") {
          tell(one.part);
          open.tones(number);
          buzz("run");
          speak(say("does", one.part), doc.documentElement.lang);
        } else if (one.kind === "beat") {
          player.start(endless(spm), 1);
        } else {
          if (one.part === "beat") tell("silence");
          ear = open.hear();
          ear.asked = asks(TIMES, one.part, ear.began);
          open.hisses(ear.asked.bursts);
          samples = [];
        }
      }

      async function leave(one) {
        if (one.kind === "beat") player.stop();
        if (one.kind !== "hear") return;
        const motion = motionRate(samples || []);
        samples = null;
        const heard = await ear.take(ear.asked);
        if (run !== mine) return;
        found[one.part] = withMotion(heard.found, motion);
        pairs.push(...heard.pairs);
      }

      async function tick() {
        if (run !== mine || isAsking) return;
        if (player.isRunning()) player.pump(AHEAD);
        const gone = till - context.currentTime;
        const one = all[at];
        if (one) left.textContent = say("page", one.kind, { s: Math.max(0, Math.ceil(gone)) });
        if (gone > 0) return;
        isAsking = true;
        if (one) await leave(one);
        isAsking = false;
        if (run !== mine) return;
        if (one && one.kind === "hear") show(found, pairs);
        if (one && one.kind === "hear" && one.part === PARTS[0] && isDeaf(found[one.part])) {
          end("deaf"); // the runner need not run four minutes more for nothing
          buzz("end");
          told.querySelector("h4").focus();
          return;
        }
        at += 1;
        if (at < all.length) enter(all[at]);
        else {
          end("done");
          buzz("end");
          told.querySelector("h4").focus();
        }
      }
      timer = world.setInterval(tick, TICK_MS);
      tick();
    }

    // --- what it says

    function reason(found) {
      const both = { spm: Math.round(found.spm), motion: Math.round(found.motion) };
      return say("refused", found.refused, both);
    }

    function partLines(part, found) {
      const head = make("dt", { textContent: say("parts", part) });
      if (found.refused) return [head, make("dd", { textContent: reason(found) })];
      const sure = { steps: found.steps, db: number(found.ratio_db) };
      const motion = found.motion === null ? []
        : [say("page", "with-motion", { spm: Math.round(found.motion) })];
      return [head,
        make("dd", {}, make("b", { textContent: Math.round(found.spm) }), " ",
          say("page", "rate"), make("small", {
            textContent: [say("page", "sure", sure), ...motion].join(" ") }))];
    }

    function claimLines(claim) {
      if (claim.why) return [say("why", claim.why, { db: number(Math.abs(claim.agree_db || 0)) })];
      const one = (part, db) => (db === null ? []
        : [say("claims", wayOf(db), { part: say("parts", part), db: number(Math.abs(db)) })]);
      return [
        ...one("quieter", claim.quieter_db), ...one("beat", claim.beat_db),
        say("claims", "agree", { db: number(Math.abs(claim.agree_db)) }),
      ];
    }

    function study(name) {
      const source = make("small", { className: "source", textContent: say("study", name + "-source") });
      return make("p", { textContent: say("study", name) + " " }, source);
    }

    function use(heard) {
      const field = doc.querySelector("[data-c-form] [name=heard]");
      if (!field) return [];
      const put = button("use", { className: "b-main" });
      const done = make("p", { className: "b-note" });
      done.setAttribute("role", "status");
      put.addEventListener("click", () => {
        field.value = logText(heard);
        field.dispatchEvent(new Event("input", { bubbles: true }));
        field.closest("details").open = true;
        const to = make("a", { textContent: say("page", "to-checkin"), href: portal.link("checkin") });
        done.replaceChildren(say("page", "used") + " ", to);
      });
      return [make("p", { className: "b-buttons" }, put), done];
    }

    function show(found, pairs) {
      const isWhole = PARTS.every((part) => found[part]);
      const claim = claims(found, pairs);
      const title = make("h4", { tabIndex: -1, textContent: say("page", "heard") });
      const rows = PARTS.filter((part) => found[part]).flatMap((part) => partLines(part, found[part]));
      told.replaceChildren(title, make("dl", { className: "b-heard" }, ...rows));
      told.hidden = false;
      if (!isWhole) return;
      const taken = entries(found, claim, words.logged[place.value]);
      const bySelf = taken.some((one) => found[one.part].motion === null) ? "unknown" : "own";
      told.append(
        ...claimLines(claim).map((textContent) => make("p", { textContent })),
        ...(taken.length ? [make("p", { textContent: say("page", bySelf) })] : []),
        ...(taken.length ? use(taken) : []),
        line("bounds"),
        study(claim.quieter_db !== null && wayOf(claim.quieter_db) === "softer" ? "softer" : "quieter"),
        make("p", {}, make("strong", { textContent: say("study", "limits") })),
        make("p", { textContent: say("study", "load") }),
        make("p", {}, say("study", "beat") + " ",
          make("a", { textContent: say("page", "to-cadence"), href: portal.link("cadence") })));
    }

    // --- when it is offered, and when it ends

    const isElsewhere = doc.querySelector("[data-host=shared]") // not there where the coach has the host
      && parts.host.isShared(world.location, portal.id);
    const barred = world.location.protocol === "file:" ? "from-file"
      : isElsewhere ? "shared" : parts.microphone.canListen() ? "" : "old";
    /* Nobody is asked to run longer without a break than the plan does. */
    function judge() {
      const { how, first } = offered(portal.data, portal.today(), addDays);
      if (barred && how !== "none") offerEar(barred);
      offer.hidden = barred ? how === "none" : how !== "yes";
      waits.hidden = !offer.hidden;
      if (!offer.hidden) return;
      const on = first ? [say("page", "first-on", { date: dayName(first, portal.data.language) })] : [];
      waits.textContent = [say("page", how === "none" ? "no-run" : "no-stretch"), ...on].join(" ");
      byEar.hidden = how === "none";
    }
    if (barred) offer.replaceChildren(note);
    judge();
    if (barred) return;
    start.addEventListener("click", () => { if (before.hidden) offerStart(true); else begin(); });
    stop.addEventListener("click", () => end("stopped"));
    const away = () => { if (isOn()) end("left"); };
    doc.addEventListener("visibilitychange", () => { if (doc.hidden) away(); });
    world.addEventListener("pagehide", away);
    doc.addEventListener("portal:stopped", away);
    doc.addEventListener("portal:shown", ({ detail }) => { if (detail.view !== "beat") away(); else if (!isOn()) judge(); });
    view.querySelector("[data-b-start]").addEventListener("click", away, true);
  }

  parts.listen = { init };
})(typeof self === "undefined" ? globalThis : self);
