/* After the walk: notes in, birds, search, logs, season and filming out. What is worked out is the desk's business. */
"use strict";
Desk.rooms.notes = (() => {
  const { find, make, button, ask, say, send, refuse, Refused } = Desk;
  const { map, icon, marker } = DeskMap;
  const drawn = Drawn.group(), walk = L.layerGroup();
  let known = null, open = false, walked = null, shown = "", birds = [], asking = 0;

  /* notes */
  const list = answer => {
    known = answer;
    find("note-all").hidden = !answer.notes.length && !answer.unread.length;
    find("note-count").textContent = `${answer.notes.length} noted${answer.unread.length ? `, ${answer.unread.length} not understood` : ""}`;
    find("note-list").replaceChildren(...answer.unread.map(one => row(one.key, `${one.text} - ${one.why}`, "")), ...answer.notes.map(one => row(one.key, one.words, one.when)));
    if (!find("note-day").value) find("note-day").value = answer.day;
    days(answer.days);
    next();
    return answer;
  };
  /* of several days one at a time is worked out: the newest, unless another is chosen */
  function days(all) {
    const pick = find("after-day"), before = pick.value, newest = !pick.value || pick.selectedIndex === 0;
    pick.replaceChildren(...all.slice().reverse().map(day => new Option(day, day)));
    if (!newest && all.includes(before)) pick.value = before;
    find("after-day-box").hidden = all.length < 2;
  }
  find("after-day").addEventListener("change", () => { if (shown === "fix" || shown === "search") work(shown); });
  function row(key, words, when) {
    const item = make("li"), said = make("span", words);
    if (when) said.prepend(make("small", `${when}  `));
    item.append(said, button("Change", () => change(item, key), "small"), button("Strike out", () => done(ask("notes/strike", { key })), "small"));
    item.querySelectorAll("button").forEach(one => one.setAttribute("aria-label", `${one.textContent}: ${words}`));
    return item;
  }
  function change(item, key) {
    if (item.querySelector("form")) return;
    const form = make("form"), field = make("input");
    field.setAttribute("aria-label", "The words that change");
    field.placeholder = "095";
    form.append(field, make("button", "Put right"));
    form.addEventListener("submit", event => { event.preventDefault(); done(ask("notes/mend", { key, words: field.value })); });
    item.append(form);
    field.focus();
  }
  function told(answer) {
    const lines = [...answer.words, ...answer.warnings.map(one => `Mind: ${one}`)];
    const parts = lines.length ? [Drawn.words(lines)] : [];
    if (answer.refused.length) {
      const bad = make("ul", undefined, "refused");
      answer.refused.forEach(one => bad.append(make("li", one)));
      parts.unshift(make("p", `${answer.refused.length} not taken:`), bad);
    }
    return parts;
  }
  function tell(answer) {
    find("note-said").replaceChildren(...told(answer));
    return answer;
  }
  const done = asked => asked.then(answer => { Desk.fault(""); stale(); return tell(list(answer)); }, () => null);
  find("note-form").addEventListener("submit", async event => {
    event.preventDefault();
    const lines = find("note-lines").value;
    if (!lines.trim()) { find("note-lines").focus(); return; }
    const answer = await done(ask("notes/write", { lines, day: find("note-day").value }));
    if (answer) find("note-lines").value = answer.refused.length ? lines : "";
  });
  /* Files one after the other; what came of each is said, and none hides what was said of another. */
  async function takeIn(files) {
    const parts = [], faults = [];
    for (const file of files) {
      try {
        const answer = list(await send("notes/file", file, { quietly: true }));
        stale();
        if (files.length > 1) parts.push(make("p", file.name));
        parts.push(...told(answer));
      } catch (wrong) {
        if (!(wrong instanceof Refused)) throw wrong;
        faults.push(files.length > 1 ? `${file.name}: ${wrong.message}` : wrong.message);
      }
    }
    refuse(faults.join("\n"));
    find("note-said").replaceChildren(...parts);
  }
  find("note-files").addEventListener("change", event => takeIn([...event.target.files]).then(() => { find("note-files").value = ""; }));
  /* files are dropped anywhere on the page: a browser would open them in its place */
  const over = on => find("panel").classList.toggle("over", on);
  const holds = event => event.dataTransfer && [...event.dataTransfer.types].includes("Files");
  document.addEventListener("dragover", event => { if (holds(event)) { event.preventDefault(); over(true); } });
  document.addEventListener("dragleave", event => { if (!event.relatedTarget) over(false); });
  document.addEventListener("drop", event => {
    if (!holds(event)) return;
    event.preventDefault();
    over(false);
    if (!open) Start.open("notes");
    takeIn([...event.dataTransfer.files]);
  });

  /* what the notes give */
  const works = [...document.querySelectorAll("[data-work]")];
  const SHOW = { fix: showBirds, search: showSearch, logs: showLogs, session: showSession, season: showWords, tomorrow: showWords };
  async function work(name, said = {}) {
    const mine = ++asking;
    works.forEach(one => { one.disabled = true; });
    try {
      const day = name === "fix" || name === "search" ? { day: find("after-day").value } : {};
      const answer = await ask("notes/work", { name, ...day, ...said });
      if (mine !== asking) return;
      Desk.fault("");
      shown = name;
      works.forEach(one => { if (one.dataset.work === name) one.setAttribute("aria-pressed", "true"); else one.removeAttribute("aria-pressed"); });
      drawn.show(answer, pin => choose(pin.text));
      find("after-found").replaceChildren(...SHOW[name](answer));
      next();
      say("Done");
      find("after-found").focus({ preventScroll: false });
    } catch (_) { /* the fault is shown */ } finally {
      works.forEach(one => { one.disabled = false; });
    }
  }
  works.forEach(one => one.addEventListener("click", () => work(one.dataset.work)));
  find("after-stop").addEventListener("click", () => ask("notes/stop"));
  function stale() {
    if (!shown) return;
    shown = "";
    drawn.clear();
    works.forEach(one => one.removeAttribute("aria-pressed"));
    find("after-found").replaceChildren();
  }
  function choose(name) {
    const card = [...find("after-found").querySelectorAll("[data-name]")].find(one => one.dataset.name.slice(0, 8) === name);
    if (!card) return;
    if (card.tagName === "DETAILS") card.open = true;
    card.scrollIntoView({ block: "nearest" });
    card.querySelector("summary, button").focus({ preventScroll: true });
  }
  const bullet = lines => {
    const made = make("ul", undefined, "plain");
    lines.forEach(one => made.append(make("li", one)));
    return made;
  };

  /* birds: merged and split by a click */
  const keysOf = name => birds.filter(one => one.name === name).flatMap(one => one.bearings.map(bearing => bearing.key));
  async function share(parts) {
    for (const [keys, bird] of parts) {
      const answer = await ask("notes/share", { keys, bird, birds: birds.map(one => one.name) }).catch(() => null);
      if (!answer) return;
      list(answer);
    }
    work("fix");
  }
  function showBirds(answer) {
    birds = answer.birds;
    const pairs = answer.pairs.map(pair => {
      const made = make("div", undefined, "pair"), [one, other] = pair.names;
      made.append(...pair.words.map(line => make("p", line.trim())));
      const tools = make("div", undefined, "tools");
      tools.append(button("They are one", () => share([[[...keysOf(one), ...keysOf(other)], one]])), button("They are two", () => share([[keysOf(one), one], [keysOf(other), other]])));
      made.append(tools);
      return made;
    });
    return [make("h2", answer.title), ...pairs, ...birds.map(bird)];
  }
  function bird(one) {
    const made = make("details", undefined, "card");
    made.dataset.name = one.name;
    made.append(make("summary", one.words[0]), bullet(one.words.slice(1).map(line => line.trim())));
    if (one.stand) made.append(button("Show the next stand", () => DeskMap.map.setView(one.stand.at, 16, { animate: false })));
    const rows = make("ul", undefined, "plain rows");
    one.bearings.forEach(bearing => {
      const item = make("li"), pick = make("select");
      pick.setAttribute("aria-label", `Whose bearing is it: ${bearing.words}`);
      pick.append(...birds.map(other => new Option(other.name, other.name, false, other === one)), new Option("a bird of its own", ""));
      /* who takes a bearing from a bird, or gives it to one, says of the others that they stay with theirs */
      const rest = one.bearings.map(other => other.key).filter(key => key !== bearing.key);
      pick.addEventListener("change", () => share([[[bearing.key, ...keysOf(pick.value)], pick.value], ...(rest.length ? [[rest, one.name]] : [])]));
      item.append(make("span", bearing.words), pick);
      rows.append(item);
    });
    made.append(make("h3", "Its bearings"), rows);
    return made;
  }
  function showSearch(answer) {
    const times = make("ul", undefined, "times");
    answer.headline.forEach(([what, when]) => { const item = make("li"); item.append(make("span", what), make("b", when)); times.append(item); });
    const legs = answer.legs.map(leg => {
      const made = make("details", undefined, "card"), rows = make("dl");
      made.dataset.name = leg.bird;
      rows.append(...leg.rows.flatMap(([what, words]) => [make("dt", what), make("dd", words)]));
      made.append(make("summary", `${leg.number}. ${leg.bird}, ${leg.rows[0][1]} to ${leg.rows[1][1]}`), rows,
        button("Note it as searched", () => done(ask("notes/searched", { numbers: [leg.number], day: answer.day }))));
      return made;
    });
    const rules = make("details");
    rules.append(make("summary", "Rules and what is left out"), bullet([...answer.rules, ...answer.left_out.map(one => `Left out: ${one}`)]));
    return [times, make("p", answer.promise), ...legs, rules, Drawn.links(answer.files)];
  }
  function showLogs(answer) {
    const box = make("div", undefined, "scroll"), table = make("table"), head = table.createTHead().insertRow(), body = table.createTBody();
    box.tabIndex = 0;
    box.setAttribute("role", "region");
    box.setAttribute("aria-label", "Logs side by side");
    answer.head.forEach(name => { const cell = make("th", name); cell.scope = "col"; head.append(cell); });
    answer.rows.forEach((cells, k) => {
      const line = body.insertRow();
      line.dataset.name = answer.names[k];
      cells.forEach((cell, at) => { const made = line.insertCell(); if (at) made.textContent = cell; else made.append(button(cell, () => work("session", { log: answer.names[k] }), "pick")); });
    });
    box.append(table);
    return [make("p", "Choose a log to plan the filming there.", "quiet"), box, Drawn.words(answer.words)];
  }
  function showSession(answer) {
    const views = make("div", undefined, "views");
    answer.views.forEach(text => {
      const figure = make("figure");
      figure.append(document.importNode(new DOMParser().parseFromString(text, "text/html").querySelector("svg"), true));
      views.append(figure);
    });
    return [make("h2", answer.name), Drawn.links(answer.files), views, Drawn.words(answer.words)];
  }
  function showWords(answer) {
    return [...(answer.files ? [Drawn.links(answer.files)] : []), Drawn.words(answer.words)];
  }

  /* one obvious next step */
  function next() {
    if (!known) return;
    const bearings = known.notes.length > 0;
    const [words, name] = !bearings ? ["Type what you heard, or drop your files here.", ""]
      : shown === "fix" ? ["When the birds are right: Search.", "search"]
      : shown === "search" || shown === "logs" || shown === "session" ? ["When logs are noted: Logs, and the filming there.", shown === "search" ? "logs" : ""]
      : ["See where the birds are: Birds.", "fix"];
    const written = known.stops.length ? "" : "No plan is written yet, so write the place with each note; Take it along makes the names of the stops known.";
    find("after-next").textContent = [words, written, ...known.silent].filter(Boolean).join(" ");
    works.forEach(one => one.classList.toggle("next", one.dataset.work === name));
    find("note-write").classList.toggle("next", !bearings);
  }
  return {
    open() { open = true; walk.addTo(map); drawn.open(); if (Start.last.version !== null) ask("notes").then(list, () => null); },
    close() { open = false; walk.remove(); drawn.close(); },
    news(said) {
      if (!open) return;
      if (said.version === null) find("after-next").textContent = "Choose the country first.";
      if (said.plan && said.trip && said.plan !== walked) {
        WalkLayer.other(walk, walked = said.plan);
        marker(said.trip.car, icon("car", "CAR", 38), "Car", { keyboard: false, interactive: false }).addTo(walk);
      }
      find("after-work").hidden = !said.busy;
      if (said.busy) { find("after-step").textContent = said.busy.words; find("after-share").value = said.busy.share; }
    },
  };
})();
