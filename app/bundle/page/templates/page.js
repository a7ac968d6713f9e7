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
  const every = (chosen, from = document) => [...from.querySelectorAll(chosen)];

  // One way along a line of [from, to] pairs, both ascending; `a` is the side the value is on.
  function along(knots, value, a) {
    const b = 1 - a;
    let i = 1;
    while (i < knots.length - 1 && knots[i][a] < value) i += 1;
    const [p, q] = [knots[i - 1], knots[i]];
    const share = q[a] > p[a] ? (value - p[a]) / (q[a] - p[a]) : 0;
    return p[b] + between(0, share, 1) * (q[b] - p[b]);
  }

  const media = every("video, audio");

  // A clip inside the page is played from a blob, which more readers can do, and lent to whoever
  // shows it again. It is unpacked when the fold it lies in is open, and never before the page is
  // drawn: a slow phone needs a second for each few megabytes.
  function lend() {
    const made = {};
    const chosen = "[data-file], [data-lent]";

    function unpacked(name) {
      if (name in made) return made[name];
      const [head, data] = document.querySelector(`[data-file="${name}"]`).getAttribute("src").split(",");
      let bytes;
      if (Uint8Array.fromBase64) bytes = Uint8Array.fromBase64(data);
      else {
        const letters = atob(data);
        bytes = new Uint8Array(letters.length);
        for (let i = 0; i < letters.length; i += 1) bytes[i] = letters.charCodeAt(i);
      }
      made[name] = URL.createObjectURL(new Blob([bytes], { type: head.slice(5, head.indexOf(";")) }));
      return made[name];
    }

    function show(box) {
      for (const clip of every(chosen, box)) {
        if (clip.closest("details:not([open])")) continue;
        const address = unpacked(clip.dataset.file || clip.dataset.lent);
        if (clip.src === address) continue;
        clip.src = address;
        if (clip.closest(".player")) clip.preload = "metadata";
      }
    }

    if (!document.querySelector("[data-file]")) return;
    document.addEventListener("toggle", (event) => show(event.target), true);
    window.addEventListener("load", () => setTimeout(() => show(document)));
  }

  // One thing sounds, and one thing moves, at a time.
  document.addEventListener("play", (event) => {
    for (const other of media) if (other !== event.target && !other.paused) other.pause();
  }, true);

  // What cannot be played: its picture, its curve and its words stay, and say so.
  function broken(film, box, said) {
    box.classList.add("broken");
    box.querySelector(".unplayable").textContent = said;
    if (film.poster && !box.querySelector("img")) {
      const still = document.createElement("img");
      still.src = film.poster;
      still.alt = film.getAttribute("aria-label");
      still.width = film.width;
      still.height = film.height;
      film.before(still);
    }
    for (const spoken of every("details.said", box)) spoken.open = true;
  }

  function watch(film, box, said) {
    film.addEventListener("error", () => broken(film, box, said));
    if (film.error) broken(film, box, said);
  }

  // A click on what is said lets the voice jump there.
  function jumps() {
    for (const line of every("[data-at]")) {
      const box = line.closest(".spoken, .film");
      const sound = box && box.querySelector("audio, video");
      if (!sound) continue;
      const button = document.createElement("button");
      button.type = "button";
      button.append(...line.childNodes);
      line.append(button);
      button.addEventListener("click", () => {
        sound.currentTime = Number(line.dataset.at);
        const playing = sound.play();
        if (playing) playing.catch(() => {});
      });
    }
  }

  // A page looked at inside the .zip has none of its pictures.
  function pictures() {
    const note = document.getElementById("unpacked");
    if (!note) return;
    const lost = (img) => { if (img.complete && img.naturalWidth === 0) note.hidden = false; };
    for (const img of every("main img:not([loading])")) {
      img.addEventListener("error", () => lost(img));
      lost(img);
    }
  }

  // What is folded is unfolded for whoever was sent there, and for paper.
  function unfold() {
    const at = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
    if (!at) return;
    for (const fold of [at.closest("details"), at.querySelector("details.fold, .folded > details")]) {
      if (fold) fold.open = true;
    }
    at.scrollIntoView();
  }

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
    const moment = box.querySelector(".to-moment");
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
    video.addEventListener("play", () => { box.classList.add("moved"); label(); });
    video.addEventListener("pause", label);
    video.addEventListener("timeupdate", () => follow(video.currentTime));
    video.addEventListener("seeked", () => {
      if (wanted !== null) seek();
      else if (video.paused) show(1000 * video.currentTime);
    });
    watch(video, box, words.run_unplayable);
    if ("requestVideoFrameCallback" in video) {
      const frame = (now, seen) => {
        follow(seen.mediaTime);
        video.requestVideoFrameCallback(frame);
      };
      video.requestVideoFrameCallback(frame);
    }
    slider.addEventListener("input", () => move(Number(slider.value)));
    if (run) {
      const broke = () => box.classList.contains("broken");
      track.addEventListener("pointerdown", (event) => {
        if (event.button !== 0 || broke()) return;
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
    if (moment) {
      moment.addEventListener("click", () => {
        video.pause();
        box.classList.remove("moved");
      });
    }
    const enlarge = video.requestFullscreen || video.webkitEnterFullscreen;
    if (enlarge) full.addEventListener("click", () => { box.classList.add("moved"); enlarge.call(video); });
    else full.remove();
    show(0);
    if (video.readyState > 0) known();
  }

  // What the athlete answers, kept on the device where that can be.
  function keeper() {
    const key = "strokeside:" + document.body.dataset.bundle;
    return {
      read() {
        try { return JSON.parse(localStorage.getItem(key)); } catch (error) { return null; }
      },
      // Whether it is kept is read back, not hoped for.
      write(text) {
        try {
          localStorage.setItem(key, text);
          return localStorage.getItem(key) === text;
        } catch (error) { return false; }
      },
      forget() {
        try { localStorage.removeItem(key); } catch (error) { /* nothing was kept */ }
      },
    };
  }

  function answers() {
    const section = document.getElementById("answers");
    const asked = every("fieldset.how");
    const comment = document.getElementById("comment");
    const count = section.querySelector(".ticked");
    const kept = section.querySelector(".kept");
    const saved = section.querySelector(".saved");
    const byHand = section.querySelector(".by-hand");
    const share = section.querySelector(".share");
    const { title, athlete, bundle } = document.body.dataset;
    const store = keeper();

    const chosen = (field) => field.querySelector("input[type=radio]:checked");
    const written = (field) => field.querySelector("input[type=text]");
    const tests = () => every("[data-self-test]").filter((field) =>
      field.type === "radio" || field.type === "checkbox" ? field.checked : field.value);

    function record() {
      return {
        strokeside_answers: 1,
        bundle,
        ticks: asked.map((field) => {
          const how = chosen(field) ? chosen(field).value : "";
          return { note: field.dataset.note, done: how === "got", how, words: written(field).value };
        }).filter((tick) => tick.how || tick.words),
        comment: comment.value,
        self_test: tests().map((field) => ({ id: field.dataset.selfTest, answer: field.value })),
      };
    }

    function put(said) {
      for (const tick of said.ticks || []) {
        const field = asked.find((one) => one.dataset.note === tick.note);
        if (!field) continue;
        written(field).value = tick.words || "";
        for (const radio of every("input[type=radio]", field)) radio.checked = radio.value === tick.how;
      }
      comment.value = said.comment || "";
      for (const one of said.self_test || []) {
        for (const field of every("[data-self-test]")) {
          if (field.dataset.selfTest === one.id) field.checked = field.value === one.answer;
        }
      }
    }

    function tell() {
      const done = asked.filter(chosen).length;
      count.textContent = asked.length ? fill("answers_ticked", { done, all: asked.length }) : "";
      for (const field of asked) {
        const hurts = chosen(field) && chosen(field).value === "hurts";
        field.querySelector(".pain").textContent = hurts ? words.answer_pain : "";
      }
    }

    function changed() {
      tell();
      saved.textContent = "";
      byHand.hidden = true;
      kept.textContent =
        store.write(JSON.stringify(record())) ? words.answers_kept : words.answers_not_kept;
    }

    const today = () => {
      const now = new Date();
      const two = (number) => String(number).padStart(2, "0");
      return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    };

    // For people first; the last lines are the same for the coach's program.
    function letter() {
      const who = athlete ? `${title}, ${athlete}` : title;
      const lines = [fill("answers_head", { title: who, date: today() }), ""];
      const order = { hurts: 0, not_yet: 1, got: 2 };
      const said = asked.filter((field) => chosen(field) || written(field).value);
      const rank = (field) => (chosen(field) ? order[chosen(field).value] : 3);
      for (const field of said.sort((a, b) => rank(a) - rank(b))) {
        const how = chosen(field) ? words["answer_" + chosen(field).value] : "–";
        const own = written(field).value ? ` (${written(field).value})` : "";
        const { number } = field.dataset;
        const cue = field.dataset.cue.replace(/[.:\s]+$/u, "");  // a colon follows
        lines.push(fill("answers_line", { number, cue, answer: how + own }));
      }
      if (comment.value) lines.push("", comment.value);
      const bytes = new TextEncoder().encode(JSON.stringify(record()));
      const packed = btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
      lines.push("", words.answers_leave, `[strokeside-answers:${packed}:end]`, "");
      return lines.join("\n");
    }

    function byHandInstead() {
      byHand.hidden = false;
      const field = byHand.querySelector("textarea");
      field.value = letter();
      field.focus();
      field.select();
      saved.textContent = "";
    }

    function copy() {
      if (!navigator.clipboard) { byHandInstead(); return; }
      navigator.clipboard.writeText(letter()).then(
        () => { saved.textContent = words.answers_copied; }, byHandInstead);
    }

    function save() {
      const name = athlete.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-+|-+$/g, "").slice(0, 40);
      const file = ["answers", name, today()].filter(Boolean).join("-") + ".json";
      const text = JSON.stringify(record(), null, 1) + "\n";
      const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
      const link = document.createElement("a");
      link.href = address;
      link.download = file;
      document.body.append(link);
      link.click();
      link.remove();
      setTimeout(() => URL.revokeObjectURL(address), 60000);
      saved.textContent = fill("answers_saving", { file });
    }

    function clear() {
      put({ ticks: asked.map((field) => ({ note: field.dataset.note })) });
      for (const field of tests()) field.checked = false;
      store.forget();
      tell();
      byHand.hidden = true;
      kept.textContent = "";
      saved.textContent = words.answers_cleared;
    }

    put(store.read() || {});
    for (const kind of ["input", "change"]) {
      document.addEventListener(kind, (event) => {
        if (event.target.matches("#comment, .how input, [data-self-test]")) changed();
      });
    }
    if (navigator.share) {
      share.addEventListener("click", () => navigator.share({ text: letter() }).then(
        () => { saved.textContent = words.answers_shared; },
        () => { saved.textContent = words.answers_not_shared; }));
    } else share.remove();
    section.querySelector(".copy").addEventListener("click", copy);
    section.querySelector(".save").addEventListener("click", save);
    section.querySelector(".clear").addEventListener("click", clear);
    tell();
  }

  lend();
  for (const box of every(".player")) player(box);
  for (const box of every(".film")) watch(box.querySelector("video"), box, words.film_unplayable);
  jumps();
  pictures();
  answers();
  window.addEventListener("hashchange", unfold);
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#']");
    if (link && link.hash === location.hash) unfold();
  });
  let unfolded = [];
  window.addEventListener("beforeprint", () => {
    unfolded = every(
      "details.fold:not([open]), .spoken details:not([open]), #next details:not([open]), .compared .more:not([open])");
    for (const fold of unfolded) fold.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const fold of unfolded) fold.open = false;
  });
  // On a wide screen there is room for the frames.
  if (matchMedia("(min-width: 46rem)").matches) {
    for (const frames of every(".note.first .facts:has(.strip), .frames")) frames.open = true;
  }
  unfold();
})();
