/* A walk on the map: its line, arrows, earshot, times and stops. What a stop does when it is moved or chosen is said by who draws. */
"use strict";
const WalkLayer = (() => {
  const { map, icon, marker, layer, symbol } = DeskMap;
  const CASING = { color: "#ffffff", weight: 8, opacity: 0.9, pane: "walk", interactive: false };
  const LINE = { color: "#10131a", weight: 4, pane: "walk", interactive: false };
  const OTHER = { color: "#6b7080", weight: 4, dashArray: "2 6", pane: "walk", interactive: false };
  map.createPane("walk").style.zIndex = 450;
  const lines = (found, style, group) => found.forEach(line => L.polyline(line, style).addTo(group));
  const EARSHOT = [{ color: "#ffffff", weight: 4, opacity: 0.7, fill: false }, { color: "#10131a", weight: 1.6, dashArray: "2 5", fill: false }];
  /* Draw a walk into a group; gives the pins of its stops. */
  function draw(group, plan, car, does = {}) {
    group.clearLayers();
    if (!plan) return [];
    if (plan.earshot) EARSHOT.forEach(style => layer([{ style, shapes: plan.earshot }]).addTo(group));
    lines(plan.lines, CASING, group);
    lines(plan.lines, LINE, group);
    plan.arrows.filter((_, k) => k % 3 === 1).forEach(([lat, lon, turn]) => symbol([lat, lon], icon("arrow", "", 16, turn), group));
    marker(car, icon("car", "CAR", 38), "Car", { keyboard: false, interactive: false }).addTo(group);
    return plan.stops.map(stop => {
      const locked = stop.must !== null;
      const name = `Stop ${stop.number}${locked ? ", locked" : ""}, arrive ${stop.arrive}, turn back by ${stop.latest_leave}`;
      const pin = marker(stop.at, icon(locked ? "stop locked" : "stop", String(stop.number), 30), name, { draggable: Boolean(does.moved), autoPan: true });
      if (does.moved) {
        pin.on("drag", () => does.moving(stop, pin.getLatLng()));
        pin.on("dragend", () => does.moved(stop, pin.getLatLng()));
      }
      if (does.chosen) pin.on("click", () => does.chosen(stop));
      return pin.addTo(group);
    });
  }
  /* Draw only the line of a walk that is being shaped. */
  function shape(group, walk) {
    group.clearLayers();
    lines(walk.lines, CASING, group);
    lines(walk.lines, LINE, group);
  }
  function other(group, plan) {
    group.clearLayers();
    lines(plan.lines, OTHER, group);
    plan.stops.forEach(stop => symbol(stop.at, icon("stop other", String(stop.number), 30), group));
  }
  return { draw, shape, other };
})();
