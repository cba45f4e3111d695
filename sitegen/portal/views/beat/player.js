/* Plays a time line of line.js on an audio context, which keeps time whatever the page's own
   timers do: it is asked for the sounds of the next moments, and while the page is hidden for the
   next minute and a half at once, because hidden pages get few timers. Touches no document. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const { soundsBetween, whereAt, withRate } = parts.beat;

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
      /* Goes to a time of the line. */
      seek(time) {
        if (running) recall();
        held = time;
        until = time;
        zero = context.currentTime + LEAD - time;
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

  parts.beat = Object.assign(parts.beat || {}, { createPlayer, AHEAD, AHEAD_HIDDEN });
})(typeof self === "undefined" ? globalThis : self);
