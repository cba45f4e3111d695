/* The Beat view: a click at the week's step rate. Its words stand in view.html, in data-say-*; what
   it knows of time in line.js and player.js, of counting in counting.js and sensing.js. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays, dayName, fill } = parts.text;
  const {
    programme, endless, whereAt, partSeconds, weekOf, planOf, createPlayer, AHEAD, AHEAD_HIDDEN,
    LEAST_SPM, MOST_SPM, screenKeeper, ownVoice, speak, buzz, begunAt, ranUntil,
  } = parts.beat;

  const NOTE_SECONDS = 2; // how often a device keeps where it is

  function startClick(view, find, say, portal) {
    const { weeks, sessions } = planOf(portal.data);
    let today = "";
    let runs = [];
    const shown = { rate: find("rate"), now: find("now"), left: find("left"), next: find("next") };
    const pick = find("session");
    const stills = world.matchMedia && world.matchMedia("(prefers-reduced-motion: reduce)");
    let context = null;
    let player = null;
    let timer = 0;
    let spm = 0;
    let band = null;
    let part = -1;
    let frame = 0;
    let noted = -NOTE_SECONDS; // the time last kept
    let hiddenAt = null; // the clocks when the page was hidden, to notice that one was stopped

    const awake = screenKeeper((name) => { find("awake").textContent = name ? say(name) : ""; });

    function duration(seconds) {
      const whole = Math.round(seconds);
      const minutes = Math.floor(whole / 60);
      const words = [];
      if (minutes) words.push(minutes + "\u00a0" + say("min"));
      if (whole % 60 || !minutes) words.push((whole % 60) + "\u00a0" + say("s"));
      return words.join(" ");
    }

    function partName(stretch) {
      return view.getAttribute("data-part-" + stretch.kind) || stretch.kind;
    }

    function chosen() {
      return runs.find((one) => one.id === pick.value) || null;
    }

    function fillSessions() {
      today = portal.today();
      runs = sessions.filter((one) => one.kind !== "strength"
        && one.on >= addDays(today, -1) && one.on <= addDays(today, 7));
      while (pick.options.length > 1) pick.remove(1); // the beat alone stays
      for (const one of runs) {
        const option = world.document.createElement("option");
        option.value = one.id;
        const date = one.on === today ? say("today") : dayName(one.on, portal.data.language);
        const kind = view.getAttribute("data-kind-" + one.kind) || one.kind;
        option.textContent = say("session", { date, kind, min: Math.round(one.total_minutes) });
        pick.append(option);
      }
      const told = parts.checkin.toldHere(portal);
      const next = runs.find((one) => one.on >= today && !told.has(one.id));
      pick.value = next ? next.id : "";
    }

    function bounds() {
      return find("free").checked || !band
        ? { low: LEAST_SPM, high: MOST_SPM } : { low: band.low, high: band.high };
    }

    function showRate() {
      const { low, high } = bounds();
      shown.rate.textContent = String(spm);
      find("slower").disabled = spm <= low;
      find("faster").disabled = spm >= high;
      const number = find("number");
      number.value = String(spm);
      find("number-row").hidden = !find("free").checked;
      find("band").textContent = band && band.isNow ? say("band", band) : say("no-band");
    }

    function setRate(wanted) {
      const { low, high } = bounds();
      spm = Math.max(low, Math.min(high, Math.round(wanted) || low));
      if (player && player.line().length) {
        player.setRate(spm);
        part = -1; // the spoken line names the rate
      }
      showRate();
    }

    function takeSession() {
      const one = chosen();
      const day = one ? one.on : today;
      const week = weekOf(weeks, day);
      const asked = one && one.parts.find((part) => part.spm);
      const aim = asked ? asked.spm : week ? week.band.aim : portal.data.baseline_spm;
      band = week && {
        low: Math.min(week.band.low, aim), aim: week.band.aim, high: Math.max(week.band.high, aim),
        isNow: day >= week.start && day < addDays(week.start, 7),
      };
      const has = (kind) => Boolean(one) && one.parts.some((part) => part.kind === kind);
      find("which").hidden = !(has("beat") && has("run"));
      setRate(aim);
      foretell();
      drawStrip();
    }

    function builtLine() {
      const one = chosen();
      if (!one || !one.parts.length) return endless(spm);
      return programme(one.parts, spm, find("all-runs").checked);
    }

    function spoken(line, stretch) {
      const seconds = partSeconds(line, stretch.number);
      const values = { part: partName(stretch), time: duration(seconds), spm };
      const words = [];
      if (!Number.isFinite(seconds)) words.push(say("now-endless", values));
      else words.push(say(stretch.spm ? "now-beat" : "now", values));
      if (stretch.turns > 1) words.push(say("turn", { turn: stretch.turn, turns: stretch.turns }));
      if (!stretch.spm) words.push(say("quiet"));
      return words.join(" ");
    }

    function nextWords(line, next) {
      if (!next) return Number.isFinite(line[line.length - 1].end) ? say("last") : "";
      const values = { part: partName(next), time: duration(partSeconds(line, next.number)) };
      return say(next.spm && next.kind !== "beat" ? "next-beat" : "next", values);
    }

    /* Before the start: what comes first and how long it all takes. */
    function foretell() {
      const line = builtLine();
      const all = line[line.length - 1].end;
      shown.now.textContent = Number.isFinite(all)
        ? say("first", { part: partName(line[0]), time: duration(line[0].end), all: duration(all) })
        : say("first-endless", { spm });
      shown.left.textContent = "";
      shown.next.textContent = "";
    }

    function clockText(seconds) {
      const whole = Math.max(0, Math.ceil(seconds));
      return Math.floor(whole / 60) + ":" + String(whole % 60).padStart(2, "0");
    }

    function show() {
      const time = player.now();
      const line = player.line();
      const here = whereAt(line, time);
      if (!here) {
        announce(say("done"), "end");
        finish(say("done"), true);
        return;
      }
      if (here.stretch.number !== part) {
        part = here.stretch.number;
        shown.now.textContent = spoken(line, here.stretch);
        announce(shown.now.textContent, here.stretch.kind);
        find("skip").hidden = !here.next;
      }
      shown.left.textContent = Number.isFinite(here.left) ? clockText(here.left) : clockText(time);
      const whole = line[line.length - 1].end;
      const all = Number.isFinite(whole) ? " " + say("left", { time: clockText(whole - time) }) : "";
      shown.next.textContent = nextWords(line, here.next) + all;
      moveStrip(time / whole);
      remember(time);
    }

    /* By voice and vibration, where they are wanted. */
    function announce(words, kind) {
      if (find("voice").checked) speak(words, world.document.documentElement.lang);
      if (find("buzz").checked) buzz(kind);
    }

    // --- the strip, and what outlives a reload

    function drawStrip() {
      const one = chosen();
      const box = find("strip");
      box.hidden = !one || one.parts.length < 2;
      if (!box.hidden) box.replaceChildren(...parts.now.drawn(one.parts), world.document.createElement("i"));
    }

    function moveStrip(share) {
      const mark = find("strip").querySelector("i");
      if (mark && Number.isFinite(share)) mark.style.insetInlineStart = share * 100 + "%";
    }

    function remember(time) {
      const one = chosen();
      if (!one || portal.forgotten || Math.abs(time - noted) < NOTE_SECONDS) return;
      noted = time;
      portal.own.set("running", JSON.stringify({ id: one.id, spm, time, at: Date.now() }));
    }

    function forgetRun() {
      noted = -NOTE_SECONDS;
      portal.own.drop("running");
    }

    function begun() {
      try {
        const kept = JSON.parse(portal.own.get("running"));
        const one = runs.find((each) => each.id === kept.id);
        const line = programme(one.parts, kept.spm, find("all-runs").checked);
        const at = begunAt(kept, Date.now(), line[line.length - 1].end);
        return at && Object.assign(at, { id: kept.id, spm: kept.spm });
      } catch (error) {
        return null;
      }
    }

    /* By the clock, or where it stopped? `goOn(time)` takes the answer. */
    function ask(words, at, goOn) {
      find("ask-words").textContent = words;
      find("ask").hidden = false;
      for (const name of ["here", "stopped"]) {
        const button = find(name);
        button.hidden = at[name] === null;
        button.textContent = say(name, { time: clockText(at[name] || 0) });
        button.onclick = () => {
          find(find("start").hidden ? "pause" : "start").focus();
          find("ask").hidden = true;
          goOn(at[name]);
        };
      }
    }

    function askBegun() {
      const at = begun();
      if (!at) return;
      pick.value = at.id;
      takeSession();
      setRate(at.spm);
      ask(say("begun"), at, (time) => start(time));
    }

    function pulse() {
      if (!player.isRunning()) {
        light(null);
        return;
      }
      const heard = player.now() - (context.outputLatency || context.baseLatency || 0);
      const here = heard >= 0 ? whereAt(player.line(), heard) : null;
      light(here && here.stretch.spm ? lastFoot(here.stretch, heard) : null);
      frame = world.requestAnimationFrame(pulse);
    }

    function lastFoot(stretch, heard) {
      const gap = 60 / stretch.spm;
      const step = Math.floor((heard - stretch.start) / gap);
      const since = heard - stretch.start - step * gap;
      return since < gap * 0.6 ? (stretch.firstStep + step) % 2 : null;
    }

    /* Two marks, one a foot: each lights at most twice a second, so nothing flashes three times
       a second (WCAG 2.2, 2.3.1), and nothing moves where less motion is asked for. */
    function light(foot) {
      const still = stills && stills.matches;
      find("foot-left").classList.toggle("b-lit", !still && foot === 0);
      find("foot-right").classList.toggle("b-lit", !still && foot === 1 && eachStep() === 1);
    }

    function eachStep() {
      return view.querySelector("[data-b-each]:checked").value === "2" ? 2 : 1;
    }

    function setState(state) {
      view.setAttribute("data-state", state);
      const focused = world.document.activeElement;
      find("start").hidden = state === "playing";
      find("start").textContent = say(state === "paused" ? "go-on" : "start");
      find("pause").hidden = state !== "playing";
      find("stop").hidden = state === "idle";
      if (state !== "playing") find("skip").hidden = true;
      pick.disabled = state !== "idle";
      if (state === "playing") find("tell").hidden = true;
      const isOn = state !== "idle";
      world.document.documentElement.toggleAttribute("data-running", isOn);
      world.document.title = (isOn ? "▶ " : "") + world.document.title.replace(/^▶ /, "");
      find("all-runs").disabled = state !== "idle";
      if (focused && focused.hidden) find(state === "playing" ? "pause" : "start").focus();
    }

    function note(text) {
      find("note").textContent = text;
    }

    function ahead() {
      return world.document.hidden ? AHEAD_HIDDEN : AHEAD;
    }

    /* The page's own clock may sleep with the phone; that of the day does not, but can be set. */
    function clocks() {
      return [context.currentTime, world.performance.now() / 1000, Date.now() / 1000];
    }

    /* Seconds for which the audio clock stood still while the page was hidden. */
    function stoodStill() {
      if (!hiddenAt) return 0;
      const [audio, ...others] = clocks().map((now, at) => now - hiddenAt[at]);
      return Math.max(...others) - audio;
    }

    function tick() {
      if (!player.isRunning()) return;
      player.pump(ahead());
      if (player.takeMissed()) note(say("missed"));
      show();
    }

    function audioContext() {
      const Kind = world.AudioContext || world.webkitAudioContext;
      return Kind ? new Kind({ latencyHint: "interactive" }) : null;
    }

    /* Not awaited without an end: a browser that withholds sound never answers. */
    async function soundRuns() {
      context.resume().catch(() => {});
      const asked = world.performance.now();
      while (context.state !== "running" && world.performance.now() - asked < 1500) {
        await new Promise((done) => world.setTimeout(done, 30));
      }
      return context.state === "running";
    }

    async function start(time) {
      find("ask").hidden = true;
      if (!context) {
        context = audioContext();
        if (!context) {
          note(say("no-sound"));
          return;
        }
        player = createPlayer(context);
        context.addEventListener("statechange", () => {
          // A call, or another program, took the sound.
          const taken = context.state !== "running" && player.isRunning();
          if (taken && !world.document.hidden) {
            pause();
            note(say("sound-taken"));
          }
        });
        volume();
      }
      if (!(await soundRuns())) {
        note(say("no-sound"));
        return;
      }
      note("");
      part = -1;
      if (player.line().length) player.resume();
      else {
        player.start(builtLine(), eachStep());
        if (time > 0) player.seek(time);
      }
      world.clearInterval(timer);
      timer = world.setInterval(tick, 100);
      setState("playing");
      awake.on();
      tick();
      world.cancelAnimationFrame(frame);
      pulse();
    }

    function pause() {
      player.pause();
      world.clearInterval(timer);
      setState("paused");
      shown.now.textContent = say("held");
      awake.off();
    }

    /* To the check-in goes that it was done as told, or how many minutes were run. */
    function tellRun(isWhole) {
      const one = chosen();
      const ran = one ? ranUntil(player.line(), player.now()) : 0;
      if (!one || !(isWhole || ran)) return;
      find("tell").hidden = false;
      const detail = { id: one.id, ran: isWhole ? null : ran };
      world.document.dispatchEvent(new CustomEvent("portal:ran", { detail }));
    }

    function finish(words, isWhole) {
      if (isWhole || words === "") tellRun(isWhole);
      player.stop();
      forgetRun();
      find("ask").hidden = true;
      world.clearInterval(timer);
      setState("idle");
      foretell();
      if (words) shown.now.textContent = words;
      awake.off();
      // Let the closing tones ring out, then give the sound back to the phone.
      world.setTimeout(() => {
        if (context && !player.line().length) context.suspend().catch(() => {});
      }, 1500);
    }

    function volume() {
      if (player) player.setVolume(Number(find("volume").value) / 100);
    }

    world.document.addEventListener("visibilitychange", async () => {
      if (!player || !player.isRunning()) return;
      if (world.document.hidden) {
        player.pump(AHEAD_HIDDEN);
        hiddenAt = clocks();
        return;
      }
      const lost = stoodStill();
      const runs = await soundRuns();
      if (!player.isRunning()) return;
      if (!runs) {
        pause();
        note(say("sound-taken"));
        return;
      }
      if (lost > 1) {
        const time = player.now();
        const end = player.line()[player.line().length - 1].end;
        ask(say("stopped-by-phone", { time: duration(lost) }),
          { here: time + lost < end ? time + lost : null, stopped: time },
          (to) => { if (to > player.now()) player.seek(to); tick(); });
      }
      tick();
    });

    find("start").addEventListener("click", () => start());
    find("pause").addEventListener("click", pause);
    find("stop").addEventListener("click", () => finish(""));
    find("skip").addEventListener("click", () => {
      player.skip();
      tick();
      if (find("skip").hidden) find("pause").focus();
    });
    find("slower").addEventListener("click", () => setRate(spm - 1));
    find("faster").addEventListener("click", () => setRate(spm + 1));
    find("free").addEventListener("change", () => setRate(spm));
    find("number").addEventListener("change", (event) => setRate(Number(event.target.value)));
    find("volume").addEventListener("input", volume);
    find("all-runs").addEventListener("change", foretell);
    pick.addEventListener("change", takeSession);
    for (const choice of view.querySelectorAll("[data-b-each]")) {
      choice.addEventListener("change", () => { if (player) player.setEach(eachStep()); });
    }

    function newDay() {
      if (player && player.line().length) return;
      fillSessions();
      takeSession();
    }
    world.document.addEventListener("portal:day", newDay);
    world.document.addEventListener("portal:told", newDay);
    world.document.addEventListener("portal:stopped", () => { if (player) finish("", false); forgetRun(); });
    // Now's button starts it at once; a reload of that address does not.
    world.document.addEventListener("portal:shown", ({ detail }) => {
      const user = world.navigator.userActivation;
      if (!detail || detail.view !== "beat" || detail.id !== "start") return;
      if (user && user.isActive && view.getAttribute("data-state") === "idle" && !begun()) start();
    });
    const voices = () => {
      find("voice-row").hidden = !ownVoice(world.document.documentElement.lang);
    };
    if (world.speechSynthesis) world.speechSynthesis.addEventListener("voiceschanged", voices);
    voices();
    find("buzz-row").hidden = !world.navigator.vibrate;

    newDay();
    setState("idle");
    askBegun();
  }

  function getReady(root, portal) {
    const view = root.querySelector("[data-beat]");
    if (!view || view.hasAttribute("data-ready")) return;
    view.setAttribute("data-ready", "");
    const find = (name) => view.querySelector("[data-b-" + name + "]");
    const say = (name, values) => fill(view.getAttribute("data-say-" + name) || "", values || {});
    startClick(view, find, say, portal);
  }

  parts.views = Object.assign(parts.views || {}, { beat: { getReady } });
})(typeof self === "undefined" ? globalThis : self);
