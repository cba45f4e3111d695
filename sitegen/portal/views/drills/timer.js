/* The timer of a drill that is held: so many times, so many seconds, and a rest between. By the clock,
   so that a phone that slept is right again. Comes after the first picture. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { fill } = parts.text;

  const READY = 5; // seconds to get into place; no source
  const TICK = 200; // milliseconds
  const TONES = { hold: 880, rest: 440, done: 440 }; // Hz

  /* The stretches of a timer, [kind, seconds, which]. Pure. */
  function stretchesOf(times, hold, rest) {
    const found = [["ready", READY, 0]];
    for (let n = 1; n <= times; n += 1) {
      if (n > 1 && rest) found.push(["rest", rest, n - 1]);
      found.push(["hold", hold, n]);
    }
    return found;
  }

  /* Where it is so many seconds after its start: {kind, which, left}. Pure. */
  function placeIn(stretches, gone) {
    let before = 0;
    for (const [kind, seconds, which] of stretches) {
      if (gone < before + seconds) return { kind, which, left: Math.ceil(before + seconds - gone) };
      before += seconds;
    }
    return { kind: "done", which: 0, left: 0 };
  }

  let sound = null;

  function tone(kind) {
    if (world.navigator.vibrate) world.navigator.vibrate(200);
    if (!sound || !(kind in TONES)) return;
    const wave = sound.createOscillator();
    const gain = sound.createGain();
    wave.frequency.value = TONES[kind];
    gain.gain.setValueAtTime(0.25, sound.currentTime);
    gain.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + 0.35);
    wave.connect(gain).connect(sound.destination);
    wave.start();
    wave.stop(sound.currentTime + 0.4);
  }

  let stop = null; // ends the one that runs

  function run(box) {
    const [times, hold, rest] = box.dataset.timer.split(" ").map(Number);
    const stretches = stretchesOf(times, hold, rest || 0);
    const button = box.querySelector("button");
    const number = box.querySelector("[role=timer]");
    const status = box.querySelector("[role=status]");
    const label = button.textContent;
    const say = (kind) => box.getAttribute("data-say-" + kind);
    const start = Date.now();
    let last = "";
    sound = sound || (world.AudioContext ? new world.AudioContext() : null);
    if (sound) sound.resume();

    function end(words) {
      clearInterval(clock);
      stop = null;
      number.hidden = true;
      status.textContent = words;
      button.textContent = label;
    }

    function show() {
      const { kind, which, left } = placeIn(stretches, (Date.now() - start) / 1000);
      if (kind + which !== last) {
        if (last) tone(kind);
        last = kind + which;
        status.textContent = kind === "done" ? "" : fill(say(kind), { n: which, count: times });
      }
      number.textContent = String(left);
      if (kind === "done") end(say("done"));
    }

    const clock = setInterval(show, TICK);
    stop = () => end("");
    number.hidden = false;
    button.textContent = say("stop");
    show();
  }

  function getLater(root) {
    root.addEventListener("click", (event) => {
      const button = event.target.closest("[data-timer] button");
      if (!button) return;
      const box = button.closest("[data-timer]");
      const isOwn = stop !== null && !box.querySelector("[role=timer]").hidden;
      if (stop) stop();
      if (!isOwn) run(box);
    });
  }

  parts.drillTimer = { stretchesOf, placeIn };
  parts.views = Object.assign(parts.views || {}, {
    drills: {
      getLater(root, portal) {
        getLater(root);
        parts.drillsToday.getLater(root, portal);
      },
    },
  });
})(typeof self === "undefined" ? globalThis : self);
