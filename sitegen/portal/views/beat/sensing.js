/* The runner's own step rate: the button to tap, and the phone's motion sensor. A counted rate is
   given on by an event "portal:cadence" on the document, with {spm} as detail. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { fill } = parts.text;
  const { tapRate, motionRate, screenKeeper, LEAST_SPM, MOST_SPM } = parts.beat;

  function startCounter(view, find, say) {
    const SECONDS = 30;
    const STILL_TAPPING = 3; // a finger in rhythm does not stop at once; these taps begin nothing
    const tap = find("tap");
    const live = find("counted");
    const motion = find("motion");
    const use = find("use");
    let taps = [];
    let ticking = 0;
    let stopMotion = null;
    let counted = null;
    let endedMs = -Infinity;
    const awake = screenKeeper(() => {});

    function note(text) {
      find("count-note").textContent = text;
    }

    function perTap() {
      return Number(view.querySelector("[data-b-per-tap]:checked").value);
    }

    function showCount(rate, isDone) {
      const spm = rate === null ? null : Math.round(rate);
      live.textContent = spm === null ? "–" : String(spm);
      const fits = spm !== null && spm >= LEAST_SPM && spm <= MOST_SPM;
      counted = isDone && fits ? spm : null;
      use.hidden = counted === null;
      if (counted !== null) use.textContent = say("use", { spm: counted });
      if (!isDone) return;
      if (spm === null) note(say("too-few"));
      else note(say(fits ? "counted" : "odd", { spm }));
    }

    function leftWords(left) {
      find("count-left").textContent = left > 0 ? say("seconds-left", { s: Math.ceil(left) }) : "";
    }

    function tapped(ms) {
      if (ms - endedMs < STILL_TAPPING * 1000) return;
      if (stopMotion) stopMotion(false);
      if (!ticking) {
        taps = [];
        counted = null;
        use.hidden = true;
        note("");
        ticking = world.setInterval(() => {
          const left = SECONDS - (world.performance.now() - taps[0]) / 1000;
          leftWords(left);
          if (left <= 0) endTaps();
        }, 200);
      }
      taps.push(ms);
      const rate = tapRate(taps);
      showCount(rate === null ? null : rate * perTap(), false);
    }

    function endTaps() {
      world.clearInterval(ticking);
      ticking = 0;
      endedMs = world.performance.now();
      leftWords(0);
      const rate = tapRate(taps);
      showCount(rate === null ? null : rate * perTap(), true);
    }

    // A finger counts when it lands, not when it lifts; keys and helping devices count as a click.
    let byPointer = false;
    tap.addEventListener("pointerdown", () => {
      byPointer = true;
      tapped(world.performance.now());
    });
    tap.addEventListener("keydown", (event) => {
      if (event.key !== " " && event.key !== "Enter") return;
      event.preventDefault();
      if (!event.repeat) tapped(world.performance.now());
    });
    tap.addEventListener("keyup", (event) => { if (event.key === " ") event.preventDefault(); });
    tap.addEventListener("click", () => {
      if (!byPointer) tapped(world.performance.now());
      byPointer = false;
    });

    use.addEventListener("click", () => {
      if (counted === null) return;
      world.document.dispatchEvent(
        new world.CustomEvent("portal:cadence", { detail: { spm: counted } }));
      find("to-checkin").hidden = false;
      note(say("used", { spm: counted }));
    });

    async function allowed() {
      const Motion = world.DeviceMotionEvent;
      if (!Motion) return false;
      if (typeof Motion.requestPermission !== "function") return true;
      try {
        return (await Motion.requestPermission()) === "granted";
      } catch (error) {
        return false;
      }
    }

    async function countMotion() {
      if (stopMotion) {
        stopMotion(true);
        return;
      }
      if (ticking) endTaps();
      if (!(await allowed())) {
        note(say("motion-refused"));
        return;
      }
      const samples = [];
      const began = world.performance.now();
      const take = (event) => {
        const full = event.acceleration;
        const a = full && full.x !== null ? full : event.accelerationIncludingGravity;
        if (a && a.x !== null) samples.push({ t: event.timeStamp / 1000, x: a.x, y: a.y, z: a.z });
      };
      world.addEventListener("devicemotion", take);
      awake.on();
      note(say("motion-on"));
      showCount(null, false);
      motion.textContent = say("motion-stop");
      const timer = world.setInterval(() => {
        const gone = (world.performance.now() - began) / 1000;
        leftWords(SECONDS - gone);
        if (gone > 2 && !samples.length) {
          stopMotion(false);
          note(say("motion-none"));
        } else if (gone >= SECONDS) {
          stopMotion(true);
          if (world.navigator.vibrate) world.navigator.vibrate(400);
        } else {
          live.textContent = String(Math.round(motionRate(samples)) || "–");
        }
      }, 1000);
      stopMotion = (isDone) => {
        world.removeEventListener("devicemotion", take);
        world.clearInterval(timer);
        awake.off();
        stopMotion = null;
        motion.textContent = say("motion");
        leftWords(0);
        if (!isDone) return;
        const rate = motionRate(samples);
        showCount(rate, true);
        if (rate === null) note(say("motion-unsteady"));
      };
    }

    if (world.DeviceMotionEvent && world.isSecureContext) {
      motion.hidden = false;
      motion.addEventListener("click", countMotion);
    }
  }

  parts.views.beat.getLater = (root) => {
    const view = root.querySelector("[data-beat]");
    const find = (name) => view.querySelector("[data-b-" + name + "]");
    const say = (name, values) => fill(view.getAttribute("data-say-" + name) || "", values || {});
    startCounter(view, find, say);
  };
})(typeof self === "undefined" ? globalThis : self);
