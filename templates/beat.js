/* The Beat view: a click at the week's step rate, and a counter for the runner's own.

   A classic script without dependencies, since a page opened from disk may not load modules.
   Puts two names on the page:

     initBeat(root)  wires the view that lies in `root` (templates/view-beat.html); needs
                     window.portal with `data` and `today()`, see templates/app.js
     beat            the pure parts below, for tests and for whoever wants to read them alone

   Three layers, each knowing nothing of the next:
   1. Programme: a session as a list of stretches on one time line, in seconds from its start.
      `soundsBetween(programme, from, to, each)` is a pure function of that line, so a click's time
      is computed from its stretch's start and its number, never from the click before it: nothing
      adds up, nothing drifts.
   2. Player: asks for the sounds of the next moments and hands them to the audio clock, which
      keeps time whatever the page's own timers do. While the page is hidden it asks for the next
      minute and a half at once, because hidden pages get few timers.
   3. Counting: taps, or 3-axis acceleration, into steps per minute.

   A counted rate is given on by an event "portal:cadence" on the document, with {spm} as detail.

   Steps per minute (spm) count both feet. Times are in seconds unless a name says otherwise. */
"use strict";

(function (world) {
  const LEAST_SPM = 100;
  const MOST_SPM = 240;

  // --- 1. programme ---------------------------------------------------------------------------

  /* Parts in the order in which they are run: neighbours with the same `repeat` take turns. */
  function inTurns(parts) {
    const order = [];
    for (let at = 0; at < parts.length; ) {
      const turns = parts[at].repeat || 1;
      let end = at + 1;
      if (turns > 1) while (end < parts.length && parts[end].repeat === turns) end += 1;
      for (let turn = 1; turn <= turns; turn += 1) {
        for (const part of parts.slice(at, end)) order.push({ part, turn, turns });
      }
      at = end;
    }
    return order;
  }

  /* A session's parts as stretches. `allRuns`: click in every running part, not the beat parts
     alone. A session without beat parts clicks in its running parts either way. */
  function programme(parts, spm, allRuns) {
    const some = parts.some((part) => part.kind === "beat");
    const clicks = (kind) => kind === "beat" || (kind === "run" && (allRuns || !some));
    let start = 0;
    return inTurns(parts).map((one, number) => {
      const end = start + one.part.minutes * 60;
      const stretch = {
        start, end, number, firstStep: 0,
        spm: clicks(one.part.kind) ? spm : null,
        kind: one.part.kind, turn: one.turn, turns: one.turns,
      };
      start = end;
      return stretch;
    });
  }

  /* The beat alone, without a session and without an end. */
  function endless(spm) {
    return [{
      start: 0, end: Infinity, number: 0, firstStep: 0, spm,
      kind: "beat", turn: 1, turns: 1,
    }];
  }

  /* How many steps fit; the rounding keeps one that falls on the end out, it is the next one's. */
  function stepsIn(stretch) {
    return Math.ceil(((stretch.end - stretch.start) * stretch.spm) / 60 - 1e-6);
  }

  /* The number of the first step at or after `time` in a stretch, counted from its start. */
  function stepFrom(stretch, time) {
    const gap = 60 / stretch.spm;
    let step = Math.max(0, Math.floor((time - stretch.start) / gap) - 1);
    while (stretch.start + step * gap < time) step += 1;
    return step;
  }

  /* Every sound with from <= at < to. `each` is 1 for every step, 2 for every second one.
     Sounds: left, right (a step), on, off (a stretch with or without the beat begins), end. */
  function soundsBetween(line, from, to, each) {
    const sounds = [];
    line.forEach((stretch, index) => {
      const before = line[index - 1];
      const begins = before && before.number !== stretch.number;
      if (begins && stretch.start >= from && stretch.start < to) {
        sounds.push({ at: stretch.start, sound: stretch.spm ? "on" : "off" });
      }
      if (stretch.spm && stretch.start < to && stretch.end > from) {
        const gap = 60 / stretch.spm;
        const steps = stepsIn(stretch);
        for (let step = stepFrom(stretch, from); step < steps; step += 1) {
          const at = stretch.start + step * gap;
          if (at >= to) break;
          const foot = (stretch.firstStep + step) % 2;
          if (foot === 0 || each === 1) sounds.push({ at, sound: foot === 0 ? "left" : "right" });
        }
      }
    });
    const end = line.length ? line[line.length - 1].end : 0;
    if (end >= from && end < to) sounds.push({ at: end, sound: "end" });
    return sounds.sort((one, other) => one.at - other.at);
  }

  /* The same line with another rate from `time` on. The step under way is finished first, so
     that no step comes early or late, and left stays left. */
  function withRate(line, time, spm) {
    const out = [];
    for (const stretch of line) {
      if (!stretch.spm || stretch.end <= time) {
        out.push(stretch);
      } else if (stretch.start >= time) {
        out.push(Object.assign({}, stretch, { spm }));
      } else {
        const step = stepFrom(stretch, time);
        const isLast = step >= stepsIn(stretch);
        const cut = isLast ? stretch.end : stretch.start + step * (60 / stretch.spm);
        out.push(Object.assign({}, stretch, { end: cut }));
        if (!isLast) {
          const firstStep = (stretch.firstStep + step) % 2;
          out.push(Object.assign({}, stretch, { start: cut, spm, firstStep }));
        }
      }
    }
    return out;
  }

  /* Where `time` lies: the stretch, the seconds left in its part, and the first one of the next
     part, or null. Null after the end. */
  function whereAt(line, time) {
    const stretch = line.find((one) => time < one.end);
    if (!stretch) return null;
    const same = line.filter((one) => one.number === stretch.number);
    const next = line.find((one) => one.number === stretch.number + 1) || null;
    return { stretch, left: same[same.length - 1].end - time, next };
  }

  function partSeconds(line, number) {
    const same = line.filter((one) => one.number === number);
    return same[same.length - 1].end - same[0].start;
  }

  // --- 2. player ------------------------------------------------------------------------------

  const AHEAD = 3; // seconds handed to the audio clock in advance while the page is seen
  const AHEAD_HIDDEN = 90; // browsers may wake a hidden page's timers only once a minute
  const LEAD = 0.06; // the first sound comes this long after the start
  const KEEP = 0.03; // what sounds within this time can't be called back

  const TONES = {
    left: [{ hz: 1320, after: 0, long: 0.03 }],
    right: [{ hz: 990, after: 0, long: 0.03 }],
    on: [{ hz: 660, after: 0, long: 0.12 }, { hz: 880, after: 0.14, long: 0.2 }],
    off: [{ hz: 660, after: 0, long: 0.12 }, { hz: 440, after: 0.14, long: 0.2 }],
    end: [
      { hz: 660, after: 0, long: 0.15 }, { hz: 550, after: 0.2, long: 0.15 },
      { hz: 440, after: 0.4, long: 0.4 },
    ],
  };

  /* A short tone that starts at its loudest, so that its start is the beat, and dies away. */
  function toneBuffer(context, hz, long) {
    const size = Math.ceil(context.sampleRate * long);
    const buffer = context.createBuffer(1, size, context.sampleRate);
    const samples = buffer.getChannelData(0);
    for (let at = 0; at < size; at += 1) {
      const time = at / context.sampleRate;
      samples[at] = Math.cos(2 * Math.PI * hz * time) * Math.exp((-5 * time) / long);
    }
    return buffer;
  }

  /* Plays a line on an audio context (a real one, or one that renders offline).
     `pump()` has to be called again and again; how often does not change when a click sounds. */
  function createPlayer(context) {
    const gain = context.createGain();
    gain.connect(context.destination);
    const buffers = {};
    let line = [];
    let each = 1;
    let zero = 0; // the audio clock's time at the line's 0
    let until = 0; // sounds before this line time are handed over
    let held = 0; // the line time at which it was paused, or last set going
    let running = false;
    let pending = [];
    let missed = 0;

    function buffer(hz, long) {
      const name = hz + "/" + long;
      if (!buffers[name]) buffers[name] = toneBuffer(context, hz, long);
      return buffers[name];
    }

    function hand(sound) {
      for (const tone of TONES[sound.sound]) {
        const node = context.createBufferSource();
        node.buffer = buffer(tone.hz, tone.long);
        node.connect(gain);
        node.start(Math.max(zero + sound.at + tone.after, context.currentTime));
        pending.push({ node, at: zero + sound.at });
      }
    }

    function now() {
      return running ? Math.max(held, context.currentTime - zero) : held;
    }

    function pump(ahead) {
      if (!running) return;
      const time = now();
      // Called too late, what is due just now would sound late: better left out than off the beat.
      const from = time > until ? time + KEEP : until;
      if (from > until) missed += soundsBetween(line, until, from, each).length;
      const to = time + (ahead || AHEAD);
      if (to > from) {
        soundsBetween(line, from, to, each).forEach(hand);
        until = to;
      }
      pending = pending.filter((one) => one.at > context.currentTime - 1);
    }

    /* Takes back what lies further ahead than can still be changed; returns that line time. */
    function recall() {
      const time = now() + KEEP;
      pending = pending.filter((one) => {
        if (one.at < zero + time) return true;
        one.node.stop();
        one.node.disconnect();
        return false;
      });
      until = Math.min(until, time);
      return time;
    }

    return {
      start(newLine, newEach) {
        line = newLine;
        each = newEach;
        zero = context.currentTime + LEAD;
        until = 0;
        held = 0;
        missed = 0;
        running = true;
        pump();
      },
      pause() {
        if (!running) return;
        recall();
        held = now();
        running = false;
      },
      resume() {
        if (running) return;
        zero = context.currentTime + LEAD - held;
        until = held;
        running = true;
        pump();
      },
      /* Goes to the beginning of the next part, if there is one. */
      skip() {
        const here = whereAt(line, now());
        if (!here || !here.next) return;
        if (running) recall();
        held = here.next.start;
        until = held;
        zero = context.currentTime + LEAD - held;
        pump();
      },
      stop() {
        recall();
        running = false;
        held = 0;
        line = [];
      },
      setRate(spm) {
        line = withRate(line, running ? recall() : held, spm);
        pump();
      },
      setEach(newEach) {
        if (running) recall();
        each = newEach;
        pump();
      },
      setVolume(share) {
        // Loudness is heard roughly as a power of the signal; squared feels even along the slider.
        gain.gain.setTargetAtTime(share * share, context.currentTime, 0.01);
      },
      pump,
      now,
      line: () => line,
      isRunning: () => running,
      takeMissed() {
        const count = missed;
        missed = 0;
        return count;
      },
    };
  }

  // --- 3. counting ----------------------------------------------------------------------------

  function median(numbers) {
    const sorted = numbers.slice().sort((one, other) => one - other);
    const half = sorted.length >> 1;
    return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }

  const FEWEST_TAPS = 6;

  /* Taps (milliseconds, rising) into taps per minute, or null while there are too few.
     The median gap is the ruler. A gap under half of it is a finger that bounced; one of two or
     three lengths is a tap that was missed; one over that is a stop, and counting starts anew.
     The rate is the slope of a straight line through all that is left. */
  function tapRate(timesMs) {
    if (timesMs.length < FEWEST_TAPS) return null;
    const gaps = timesMs.slice(1).map((time, at) => time - timesMs[at]);
    const rough = median(gaps);
    const real = gaps.filter((gap) => gap > rough / 2);
    if (!real.length) return null;
    const ruler = median(real);

    const stretches = [[{ step: 0, ms: timesMs[0] }]];
    for (const ms of timesMs.slice(1)) {
      const stretch = stretches[stretches.length - 1];
      const last = stretch[stretch.length - 1];
      const lengths = (ms - last.ms) / ruler;
      if (lengths < 0.5) continue;
      if (lengths > 3.5) stretches.push([{ step: 0, ms }]);
      else stretch.push({ step: last.step + Math.round(lengths), ms });
    }

    let both = 0;
    let steps = 0;
    for (const stretch of stretches) {
      const step = stretch.reduce((sum, tap) => sum + tap.step, 0) / stretch.length;
      const ms = stretch.reduce((sum, tap) => sum + tap.ms, 0) / stretch.length;
      for (const tap of stretch) {
        both += (tap.step - step) * (tap.ms - ms);
        steps += (tap.step - step) * (tap.step - step);
      }
    }
    return both > 0 ? (60000 * steps) / both : null;
  }

  /* Motion. A run repeats itself every two steps: what the feet do, every step; what the arms do,
     every second step and reversed between. So the likeness of the signal with itself shifted by
     two steps is high for feet and arms alike, and shifted by one step it tells feet from arms.
     Summed over the three axes, that likeness does not change with how the phone is held.
     The thresholds are common practice, no source; tests hold them against signals of known
     rate. */
  const HZ = 100; // samples are evened out to this
  const WINDOW = 6; // seconds that are judged as one
  const HOP = 2; // seconds from one window to the next
  const SHORTEST_STEP = 60 / MOST_SPM;
  const LONGEST_STEP = 60 / 120; // slower than this is walking; a longer search would mix octaves
  const LEAST_SHAKE = 3; // m/s², root mean square: a walk stays below, a run is well above
  const LEAST_LIKENESS = 0.3;
  const FEWEST_WINDOWS = 3;
  const LOST = 0.25; // seconds without a sample that end a stretch

  /* Samples {t, x, y, z} in seconds and m/s² as stretches of even spacing. */
  function evenly(samples) {
    const stretches = [];
    let axes = null;
    let next = 0;
    for (let at = 1; at < samples.length; at += 1) {
      const one = samples[at - 1];
      const two = samples[at];
      const gap = two.t - one.t;
      if (gap > LOST) axes = null;
      if (!(gap > 0) || gap > LOST) continue;
      if (!axes) {
        axes = [[], [], []];
        stretches.push(axes);
        next = one.t;
      }
      for (; next <= two.t; next += 1 / HZ) {
        const share = (next - one.t) / gap;
        axes[0].push(one.x + (two.x - one.x) * share);
        axes[1].push(one.y + (two.y - one.y) * share);
        axes[2].push(one.z + (two.z - one.z) * share);
      }
    }
    return stretches;
  }

  /* Takes gravity and every slow turn of the phone out: each value less the mean around it. */
  function withoutSlow(values) {
    const reach = Math.round(0.5 * HZ);
    const sums = [0];
    for (const value of values) sums.push(sums[sums.length - 1] + value);
    return values.map((value, at) => {
      const from = Math.max(0, at - reach);
      const to = Math.min(values.length, at + reach + 1);
      return value - (sums[to] - sums[from]) / (to - from);
    });
  }

  function power(axes, from, size) {
    let sum = 0;
    for (const axis of axes) {
      for (let at = from; at < from + size; at += 1) sum += axis[at] * axis[at];
    }
    return sum / size;
  }

  /* Likeness with itself `lag` samples later: 1 the same, 0 unlike, -1 reversed. */
  function likeness(axes, from, size, lag) {
    let both = 0;
    let first = 0;
    let second = 0;
    for (const axis of axes) {
      for (let at = from; at < from + size - lag; at += 1) {
        both += axis[at] * axis[at + lag];
        first += axis[at] * axis[at];
        second += axis[at + lag] * axis[at + lag];
      }
    }
    return first && second ? both / Math.sqrt(first * second) : 0;
  }

  /* The top of a parabola through three neighbours, as an offset from the middle one. */
  function peakOffset(left, middle, right) {
    const bend = left - 2 * middle + right;
    return bend < 0 ? Math.max(-0.5, Math.min(0.5, (left - right) / (2 * bend))) : 0;
  }

  function windowRate(axes, from, size) {
    const seen = new Map();
    const like = (lag) => {
      if (!seen.has(lag)) seen.set(lag, likeness(axes, from, size, lag));
      return seen.get(lag);
    };
    const between = (lag) => (like(Math.floor(lag)) + like(Math.ceil(lag))) / 2;

    let stride = 0;
    let best = -Infinity;
    for (let lag = Math.round(2 * SHORTEST_STEP * HZ); lag <= 2 * LONGEST_STEP * HZ; lag += 1) {
      const isPeak = like(lag) >= like(lag - 1) && like(lag) >= like(lag + 1);
      const score = 2 * like(lag) + between(lag / 2);
      if (isPeak && like(lag) >= LEAST_LIKENESS && score > best) {
        best = score;
        stride = lag;
      }
    }
    if (!stride) return null;
    let exact = stride + peakOffset(like(stride - 1), like(stride), like(stride + 1));
    for (const strides of [2, 3]) { // the same peak further out gives the same length more finely
      let top = Math.round(strides * exact);
      for (let lag = top - 2, middle = top; lag <= middle + 2; lag += 1) {
        if (like(lag) > like(top)) top = lag;
      }
      if (like(top) < LEAST_LIKENESS) break;
      exact = (top + peakOffset(like(top - 1), like(top), like(top + 1))) / strides;
    }
    return (120 * HZ) / exact;
  }

  /* Steps per minute of the running in a recording, or null where no steady running is in it. */
  function motionRate(samples) {
    const windows = [];
    for (const raw of evenly(samples)) {
      const axes = raw.map(withoutSlow);
      const size = WINDOW * HZ;
      for (let from = 0; from + size <= axes[0].length; from += HOP * HZ) {
        windows.push({ axes, from, size, power: power(axes, from, size) });
      }
    }
    if (windows.length < FEWEST_WINDOWS) return null;
    // A stop or a walk break shakes far less than the running around it.
    const typical = median(windows.map((one) => one.power).sort((a, b) => b - a)
      .slice(0, Math.ceil(windows.length / 2)));
    const rates = windows
      .filter((one) => one.power > LEAST_SHAKE * LEAST_SHAKE && one.power > typical / 4)
      .map((one) => windowRate(one.axes, one.from, one.size))
      .filter((rate) => rate !== null);
    if (rates.length < FEWEST_WINDOWS) return null;
    const middle = median(rates);
    const agree = rates.filter((rate) => Math.abs(rate - middle) <= 0.06 * middle);
    if (agree.length < Math.max(FEWEST_WINDOWS, rates.length / 2)) return null;
    return agree.reduce((sum, rate) => sum + rate, 0) / agree.length;
  }

  // --- the view -------------------------------------------------------------------------------

  function fill(text, values) {
    return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
  }

  /* Days are counted in UTC, so that no clock change can move them. */
  function addDays(day, days) {
    return new Date(Date.parse(day + "T00:00Z") + days * 86400000).toISOString().slice(0, 10);
  }

  /* "Wed 10 Feb", in the order in which the rest of the portal writes a day. */
  function dayName(day, language) {
    const date = new Date(day + "T00:00Z");
    const part = (how) =>
      new Intl.DateTimeFormat(language, Object.assign({ timeZone: "UTC" }, how)).format(date);
    return part({ weekday: "short" }) + " " + date.getUTCDate() + " " + part({ month: "short" });
  }

  function weekOf(weeks, day) {
    const begun = weeks.filter((week) => week.start <= day);
    return begun.length ? begun[begun.length - 1] : weeks[0] || null;
  }

  /* The plan as the page's block of data holds it (templates/app.js), with named parts. */
  function planOf(data) {
    const weeks = (data.weeks || []).map((week) => {
      const [low, aim, high] = week.cadence_spm;
      return { start: week.start, band: { low, aim, high } };
    });
    const sessions = [].concat(...(data.weeks || []).map((week) => week.sessions)).map((one) =>
      Object.assign({}, one, {
        parts: one.parts.map(([kind, minutes, repeat, spm]) => ({ kind, minutes, repeat, spm })),
      }));
    return { weeks, sessions };
  }

  /* Keeps the screen on while something runs; `tell(name)` is told when it can't. */
  function screenKeeper(tell) {
    let lock = null;
    let wanted = false;
    async function hold() {
      if (!wanted || lock || world.document.hidden) return;
      if (!world.navigator.wakeLock) {
        tell("awake-cannot");
        return;
      }
      try {
        const got = await world.navigator.wakeLock.request("screen");
        if (!wanted) {
          got.release();
          return;
        }
        lock = got;
        got.addEventListener("release", () => { lock = null; });
        tell("awake");
      } catch (error) {
        tell("awake-refused");
      }
    }
    world.document.addEventListener("visibilitychange", hold);
    return {
      on() { wanted = true; hold(); },
      off() {
        wanted = false;
        if (lock) lock.release();
        lock = null;
        tell("");
      },
    };
  }

  function initBeat(root) {
    const view = root.querySelector("[data-beat]");
    if (!view || view.hasAttribute("data-ready")) return;
    view.setAttribute("data-ready", "");
    const find = (name) => view.querySelector("[data-b-" + name + "]");
    const say = (name, values) => fill(view.getAttribute("data-say-" + name) || "", values || {});
    startClick(view, find, say, world.portal);
    startCounter(view, find, say);
  }

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
    let hiddenAt = null; // both clocks when the page was hidden, to notice that one was stopped

    const awake = screenKeeper((name) => { find("awake").textContent = name ? say(name) : ""; });

    function duration(seconds) {
      const whole = Math.round(seconds);
      const minutes = Math.floor(whole / 60);
      const words = [];
      if (minutes) words.push(minutes + " " + say("min"));
      if (whole % 60 || !minutes) words.push((whole % 60) + " " + say("s"));
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
      const next = runs.find((one) => one.on >= today);
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
      find("band").textContent = band ? say("band", band) : say("no-band");
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
      const week = weekOf(weeks, one ? one.on : today);
      const asked = one && one.parts.find((part) => part.spm);
      const aim = asked ? asked.spm : week ? week.band.aim : portal.data.baseline_spm;
      band = week && {
        low: Math.min(week.band.low, aim), aim: week.band.aim, high: Math.max(week.band.high, aim),
      };
      const has = (kind) => Boolean(one) && one.parts.some((part) => part.kind === kind);
      find("which").hidden = !(has("beat") && has("run"));
      setRate(aim);
      foretell();
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
        finish(say("done"));
        return;
      }
      if (here.stretch.number !== part) {
        part = here.stretch.number;
        shown.now.textContent = spoken(line, here.stretch);
        shown.next.textContent = nextWords(line, here.next);
        find("skip").hidden = !here.next;
      }
      shown.left.textContent = Number.isFinite(here.left) ? clockText(here.left) : clockText(time);
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
      find("all-runs").disabled = state !== "idle";
      if (focused && focused.hidden) find(state === "playing" ? "pause" : "start").focus();
    }

    function note(text) {
      find("note").textContent = text;
    }

    function ahead() {
      return world.document.hidden ? AHEAD_HIDDEN : AHEAD;
    }

    function clocks() {
      return { wall: world.performance.now() / 1000, audio: context.currentTime };
    }

    /* Seconds for which the audio clock stood still while the page was hidden. */
    function stoodStill() {
      if (!hiddenAt) return 0;
      const now = clocks();
      return now.wall - hiddenAt.wall - (now.audio - hiddenAt.audio);
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

    async function start() {
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
      else player.start(builtLine(), eachStep());
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

    function finish(words) {
      player.stop();
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
      if (lost > 1) note(say("stopped-by-phone", { time: duration(lost) }));
      tick();
    });

    find("start").addEventListener("click", start);
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

    newDay();
    setState("idle");
  }

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

  world.beat = {
    inTurns, programme, endless, soundsBetween, withRate, whereAt, createPlayer, tapRate,
    motionRate,
  };
  world.initBeat = initBeat;
})(typeof self === "undefined" ? globalThis : self);
