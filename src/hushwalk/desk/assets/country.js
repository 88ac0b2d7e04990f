/* Choose the country: point at the place of the car, see what is known of it, start a trip there; compare ranked areas. */
"use strict";
Desk.rooms.country = (() => {
  const { find, make, button, ask, say } = Desk;
  const { map, icon, marker } = DeskMap;
  const pins = L.layerGroup(), drawn = Drawn.group();
  let open = false, said = { version: null }, place = null, layers = false, looked = false, network = false;

  async function look(request) {
    let answer;
    try { answer = await ask("country/place", request); } catch (_) { return; }
    Desk.fault("");
    place = answer;
    show(answer.rows);
    pins.clearLayers();
    marker(answer.at, icon("car", "CAR", 38), "Where the car would stand", { keyboard: false, interactive: false }).addTo(pins);
    if (!map.getBounds().contains(answer.at) || map.getZoom() < 11) map.setView(answer.at, Math.max(map.getZoom(), 13), { animate: false });
    next();
    say(answer.rows.map(row => row.join(" ")).join(", "));
    base(answer.at);
  }
  const show = rows => find("country-facts").replaceChildren(...rows.flatMap(([what, words]) => [make("dt", what), make("dd", words)]));
  /* the layers of the folder round that place, and whether there is a road */
  async function base(at) {
    try {
      const answer = await ask("country/base", at ? { at } : {}, { quietly: true });
      layers = true;
      if (said.version === null) DeskMap.ground(answer.ground, !at);
      if (at && place && place.at === at) show([...place.rows, ["road", answer.road]]);
    } catch (wrong) {
      layers = false;
      if (at && place && place.at === at) show([...place.rows, ["layers", wrong.message]]);
    }
    next();
  }
  find("country-form").addEventListener("submit", event => { event.preventDefault(); if (find("country-text").value.trim()) look({ text: find("country-text").value }); });
  find("country-point").addEventListener("click", () => Drawing.start({ button: find("country-point"), words: "Click where the car stands.", most: 1, work: ([at]) => look({ at }) }));

  find("country-begin").addEventListener("click", () => {
    const asked = said.version === null ? ask("country/begin", { at: place.at, day: place.day }) : ask("change", { kind: "set car", at: place.at });
    asked.then(started, () => null);
  });
  function started(news) {
    Desk.fault("");
    place = null;
    pins.clearLayers();
    Start.take(news);
    Start.open("morning");
  }
  find("country-network").addEventListener("change", event => { network = event.target.checked; next(); });
  find("country-gather").addEventListener("click", async () => {
    const at = place.at;
    try { await ask("country/gather", { at, network }); } catch (_) { return; } finally { network = false; find("country-network").checked = false; }
    Desk.fault("");
    base(at);
  });

  /* ranked areas, side by side */
  find("country-areas").addEventListener("click", async () => {
    find("country-areas").disabled = true;
    try {
      const answer = await ask("country/areas");
      Desk.fault("");
      drawn.show({ pins: answer.areas.map(area => ({ face: "place", text: String(area.rank), at: area.at, title: `${area.rank}. ${area.name}` })) }, pin => choose(pin.text));
      find("country-ranked").replaceChildren(...ranked(answer));
    } catch (_) { /* the fault is shown */ } finally { find("country-areas").disabled = false; }
  });
  function ranked(answer) {
    const box = make("div", undefined, "scroll"), table = make("table"), head = table.createTHead().insertRow(), body = table.createTBody();
    box.tabIndex = 0;
    box.setAttribute("role", "region");
    box.setAttribute("aria-label", "Ranked places");
    answer.head.forEach(name => { const cell = make("th", name); cell.scope = "col"; head.append(cell); });
    const why = make("div");
    answer.areas.forEach(area => {
      const line = body.insertRow();
      line.dataset.rank = area.rank;
      area.cells.forEach((cell, k) => {
        const made = line.insertCell();
        if (k) made.textContent = cell;
        else made.append(button(cell, () => {
          [...body.rows].forEach(row => row.classList.toggle("now", row === line));
          map.setView(area.at, 13, { animate: false });
          why.replaceChildren(make("h3", area.name), make("p", area.why), button("Start a trip there", () => ask("country/begin_area", { number: area.rank }).then(started, () => null), "next"));
        }, "pick"));
      });
    });
    box.append(table);
    return [make("p", answer.lead, "quiet"), box, why, ...answer.left_out.map(words => make("p", words, "quiet"))];
  }
  function choose(rank) {
    const line = find("country-ranked").querySelector(`[data-rank="${CSS.escape(rank)}"] button`);
    if (line) { line.click(); line.focus(); }
  }
  find("country-stop").addEventListener("click", () => ask("notes/stop"));

  function next() {
    const there = said.version !== null;
    find("country-begin").hidden = !place || (!there && !layers);
    find("country-begin").textContent = there ? "Move the car here" : "Start a trip here";
    find("country-gather-box").hidden = !place || there || layers;
    find("country-gather").disabled = !network || !place;
    find("country-next").textContent = place ? (there || layers ? "" : "Layers are needed: gather them, or put your own into the folder.")
      : there ? "The car stands where the map shows it. Point to another place to move it." : "Point at the place where the car will stand.";
  }
  return {
    open() {
      open = true;
      pins.addTo(map);
      drawn.open();
      ask("country/have").then(answer => { find("country-region").hidden = !answer.region; }, () => null);
    },
    close() { open = false; pins.remove(); drawn.close(); },
    news(what) {
      said = what;
      if (!open) return;
      if (what.version === null && !looked) { looked = true; base(null); }
      find("country-work").hidden = !what.busy;
      if (what.busy) { find("country-step").textContent = what.busy.words; find("country-share").value = what.busy.share; }
      next();
    },
  };
})();
