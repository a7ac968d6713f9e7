"use strict";
(() => {
  const root = document.documentElement;
  const words = JSON.parse(document.body.dataset.words);
  const HEIGHT = 120, TOP = 8;
  root.classList.add("scripts");

  const fill = (name, values) => words[name].replace(/\{(\w+)\}/g, (all, key) =>
    key in values ? String(values[key]) : all);
  const tenths = (ms) => (Math.abs(ms) / 1000).toFixed(1).replace(".", words.decimal);
  const between = (low, value, high) => Math.min(Math.max(value, low), high);

  // One way along a line of [from, to] pairs, both ascending; `a` is the side the value is on.
  function along(knots, value, a) {
    const b = 1 - a;
    let i = 1;
    while (i < knots.length - 1 && knots[i][a] < value) i += 1;
    const [p, q] = [knots[i - 1], knots[i]];
    const share = q[a] > p[a] ? (value - p[a]) / (q[a] - p[a]) : 0;
    return p[b] + between(0, share, 1) * (q[b] - p[b]);
  }

  const videos = [...document.querySelectorAll(".player video")];

  function player(box) {
    const video = box.querySelector("video");
    const track = box.querySelector(".track");
    const slider = box.querySelector("input[type=range]");
    const readout = box.querySelector(".readout");
    const cursor = box.querySelector(".cursor");
    const run = track.dataset.run ? JSON.parse(track.dataset.run) : null;
    const play = box.querySelector(".play");
    const slow = box.querySelector(".slow");
    const full = box.querySelector(".full");
    let wanted = null;
    let lengthMs = run ? run.knots[run.knots.length - 1][0] : 0;
    // The end must be a whole number of steps away, or the slider stops short of it.
    const reach = () => { slider.max = String(Math.ceil(lengthMs / slider.step) * slider.step); };
    if (lengthMs) reach();

    function say(ms) {
      if (!run) return fill("run_plain", { seconds: tenths(ms) });
      const at = Math.round(along(run.knots, ms, 0) / run.step);
      const force = run.own[at];
      if (force === null) return fill("run_plain", { seconds: tenths(ms) });
      if (run.catch === null) return fill("run_force", { seconds: tenths(ms), force });
      if (ms < run.catch) return fill("run_before", { seconds: tenths(run.catch - ms), force });
      if (ms > run.finish) return fill("run_after", { seconds: tenths(ms - run.finish), force });
      const percent = Math.round(100 * (ms - run.catch) / (run.finish - run.catch));
      const target = run.aim ? run.aim[at] : null;
      return fill(target === null ? "run_drive" : "run_drive_target", { percent, force, target });
    }

    function show(ms) {
      const text = say(ms);
      slider.value = String(ms);
      slider.setAttribute("aria-valuetext", text);
      if (!run) return;
      readout.textContent = text;
      const x = along(run.knots, ms, 0);
      const force = run.own[Math.round(x / run.step)];
      const y = HEIGHT - between(0, (force || 0) / run.top, 1) * (HEIGHT - TOP);
      const [line, knob] = cursor.children;
      line.setAttribute("x1", x);
      line.setAttribute("x2", x);
      knob.setAttribute("cx", x);
      knob.setAttribute("cy", y);
    }

    function seek() {
      if (wanted === null || video.seeking || video.readyState === 0) return;
      const to = wanted;
      wanted = null;
      if (Math.abs(video.currentTime * 1000 - to) > 1) video.currentTime = to / 1000;
    }

    function move(ms) {
      video.pause();
      box.classList.add("moved");
      wanted = between(0, ms, lengthMs);
      show(wanted);
      seek();
    }

    function follow(seconds) {
      if (!video.paused && wanted === null) show(1000 * seconds);
    }

    function known() {
      if (!run && video.duration) {
        lengthMs = Math.round(1000 * video.duration);
        reach();
      }
      seek();
    }

    function label() {
      play.textContent = video.paused ? words.play : words.pause;
    }

    function start() {
      box.classList.add("moved");
      for (const other of videos) if (other !== video && !other.paused) other.pause();
      const playing = video.play();
      if (playing) playing.catch(() => label());
      // The event that says so comes later; a button must never name what was done already.
      label();
    }

    function stop() {
      video.pause();
      label();
    }

    const toggle = () => (video.paused ? start() : stop());
    const place = (event) => {
      const area = track.getBoundingClientRect();
      const share = between(0, (event.clientX - area.left) / area.width, 1);
      return run ? along(run.knots, share * 320, 1) : share * lengthMs;
    };

    video.controls = false;
    video.addEventListener("click", toggle);
    video.addEventListener("loadedmetadata", known);
    video.addEventListener("play", label);
    video.addEventListener("pause", label);
    video.addEventListener("timeupdate", () => follow(video.currentTime));
    video.addEventListener("seeked", () => {
      if (wanted !== null) seek();
      else if (video.paused) show(1000 * video.currentTime);
    });
    video.addEventListener("error", () => {
      video.controls = true;
      box.classList.add("broken");
      box.querySelector(".unplayable").textContent = words.run_unplayable;
    });
    if ("requestVideoFrameCallback" in video) {
      const frame = (now, seen) => {
        follow(seen.mediaTime);
        video.requestVideoFrameCallback(frame);
      };
      video.requestVideoFrameCallback(frame);
    }
    slider.addEventListener("input", () => move(Number(slider.value)));
    if (run) {
      track.addEventListener("pointerdown", (event) => {
        if (event.button !== 0) return;
        track.setPointerCapture(event.pointerId);
        slider.focus({ preventScroll: true });
        move(place(event));
        event.preventDefault();
      });
      track.addEventListener("pointermove", (event) => {
        if (track.hasPointerCapture(event.pointerId)) move(place(event));
      });
    }
    play.addEventListener("click", toggle);
    slow.addEventListener("click", () => {
      const on = slow.getAttribute("aria-pressed") !== "true";
      slow.setAttribute("aria-pressed", String(on));
      video.playbackRate = on ? 0.25 : 1;
      video.muted = on;
      start();
    });
    const enlarge = video.requestFullscreen || video.webkitEnterFullscreen;
    if (enlarge) full.addEventListener("click", () => enlarge.call(video));
    else full.remove();
    if (video.error) video.dispatchEvent(new Event("error"));
    show(0);
    if (video.readyState > 0) known();
  }

  function answers() {
    const section = document.getElementById("answers");
    const ticks = [...document.querySelectorAll("input[data-note]")];
    const count = section.querySelector(".ticked");
    const saved = section.querySelector(".saved");

    function tell() {
      const done = ticks.filter((tick) => tick.checked).length;
      count.textContent = ticks.length ? fill("answers_ticked", { done, all: ticks.length }) : "";
    }

    function tested() {
      const given = [];
      for (const field of document.querySelectorAll("[data-self-test]")) {
        const choice = field.type === "radio" || field.type === "checkbox";
        if (choice ? field.checked : field.value) {
          given.push({ id: field.dataset.selfTest, answer: field.value });
        }
      }
      return given;
    }

    function save() {
      const record = {
        strokeside_answers: 1,
        bundle: document.body.dataset.bundle,
        ticks: ticks.map((tick) => ({ note: tick.dataset.note, done: tick.checked })),
        comment: document.getElementById("comment").value,
        self_test: tested(),
      };
      const text = JSON.stringify(record, null, 1) + "\n";
      const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
      const link = document.createElement("a");
      link.href = address;
      link.download = "answers.json";
      document.body.append(link);
      link.click();
      link.remove();
      setTimeout(() => URL.revokeObjectURL(address), 60000);
      saved.textContent = fill("answers_saved", { file: "answers.json" });
    }

    for (const tick of ticks) tick.addEventListener("change", tell);
    section.querySelector(".save").addEventListener("click", save);
    tell();
  }

  for (const box of document.querySelectorAll(".player")) player(box);
  answers();
})();
