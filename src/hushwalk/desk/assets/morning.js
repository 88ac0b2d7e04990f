/* Shape the morning: the walk on the map and in the table, and what a person changes about it. */
"use strict";
Desk.rooms.morning = (() => {
  const { find, make, ask, say } = Desk;
  const { map, icon, marker, layer, symbol } = DeskMap;
  const walk = L.layerGroup();
  let grounded = null;
  const CASING = { color: "#ffffff", weight: 7, opacity: 0.9 }, LINE = { color: "#10131a", weight: 4 };

  function draw(plan) {
    walk.clearLayers();
    if (!plan) return;
    plan.legs.forEach(leg => L.polyline(leg.line, { ...CASING, interactive: false }).addTo(walk));
    plan.legs.forEach(leg => L.polyline(leg.line, { ...LINE, interactive: false }).addTo(walk));
    plan.arrows.forEach(([lat, lon, turn]) => symbol([lat, lon], icon("arrow", "", 16, turn), walk));
    plan.stops.forEach(stop => {
      const pin = marker(stop.at, icon(stop.must === null ? "stop" : "stop locked", String(stop.number), 30), `Stop ${stop.number}, ${stop.arrive}`, { draggable: true });
      pin.on("dragend", () => {
        const at = pin.getLatLng();
        change("move stop", { at: [at.lat, at.lng], must: stop.must, stop: stop.name });
      });
      pin.addTo(walk);
    });
  }
  const change = (kind, said) => ask("change", { kind, ...said }).then(Start.take, () => draw(Start.last.plan));
  function table(plan) {
    const rows = (plan ? plan.stops : []).map(stop => {
      const row = make("tr");
      row.append(make("td", String(stop.number)), make("td", stop.arrive), make("td", stop.leave),
        make("td", stop.males.toFixed(2)), make("td", stop.latest_leave));
      return row;
    });
    find("stops").tBodies[0].replaceChildren(...rows);
  }
  function news(said) {
    const plan = said.plan;
    find("headline").replaceChildren(...(plan ? plan.headline : []).map(([what, when]) => {
      const item = make("li");
      item.append(make("span", what), make("b", when));
      return item;
    }));
    find("cost").textContent = plan ? plan.cost || "" : "";
    find("proof").textContent = plan ? plan.proof : "";
    find("work").hidden = !said.work;
    if (said.work) { find("step").textContent = said.work.words; find("share").value = said.work.share; }
    draw(plan);
    table(plan);
    History.news(said);
    if (said.version !== null && grounded === null) {
      grounded = said.version;
      ask("ground").then(answer => { if (answer.ground) { find("title").textContent = answer.ground.title; DeskMap.ground(answer.ground); } });
    }
  }
  find("stop").addEventListener("click", () => ask("stop").then(Start.take));
  return { open() { walk.addTo(map); }, close() { walk.remove(); }, news };
})();
