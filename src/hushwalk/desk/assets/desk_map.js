/* The map that all rooms draw on: the ground, and groups of what lies on it. Who draws what is the rooms' business. */
"use strict";
const DeskMap = (() => {
  const { find, make } = Desk;
  const map = L.map("map", { zoomSnap: 0.25, minZoom: 4, maxZoom: 19, attributionControl: false, zoomControl: true });
  map.setView([47.4, -90.3], 6);
  let bar = null, read = "";
  /* the scale bar, in the units that the reader of the trip uses */
  function scale(units) {
    if (units === read) return;
    read = units;
    if (bar) bar.remove();
    bar = L.control.scale({ metric: units !== "us", imperial: units === "us" }).addTo(map);
  }
  scale("metric");
  [["relief", 210], ["cover", 220], ["suitability", 230]].forEach(([name, height]) => {
    map.createPane(name).style.zIndex = height;
  });
  [["symbols", 590], ["times", 595]].forEach(([name, height]) => {
    const pane = map.createPane(name);
    pane.style.zIndex = height;
    pane.style.pointerEvents = "none";
  });
  const NAMES = { relief: "Shape of the land", cover: "Cover", suitability: "Suitability for the bird" };
  const OPACITY = { relief: 1.0, cover: 0.9, suitability: 0.72 };
  let list = null, drawn = [], bounds = null;

  const icon = (name, text, size, turn) => {
    const face = make("span", text, name);
    if (turn !== undefined) face.style.transform = `rotate(${turn}deg)`;
    return L.divIcon({ html: face, className: "pin", iconSize: [size, size] });
  };
  const symbol = (at, face, group, pane) => L.marker(at, { icon: face, pane: pane || "symbols", interactive: false, keyboard: false }).addTo(group);
  /* A layer of the kit: parts of one style each. */
  const layer = parts => {
    const group = L.layerGroup();
    parts.forEach(part => L.geoJSON(part.shapes, { style: () => part.style, interactive: false }).addTo(group));
    return group;
  };
  /* Draw the ground of a trip in the place of what was drawn before. */
  function ground(said, fit = true) {
    drawn.forEach(one => one.remove());
    drawn = [];
    bounds = L.latLngBounds(said.bounds);
    if (list) list.remove();
    list = L.control.layers(null, null, { collapsed: true }).addTo(map);
    Object.keys(NAMES).filter(name => said.pictures[name]).forEach(name => {
      const picture = L.imageOverlay(said.pictures[name], said.bounds, { pane: name, opacity: OPACITY[name], interactive: false, alt: "" });
      if (name !== "cover") picture.addTo(map);
      list.addOverlay(picture, NAMES[name]);
      drawn.push(picture);
    });
    said.layers.forEach(one => {
      const group = layer(one.parts);
      if (one.shown) group.addTo(map);
      list.addOverlay(group, one.name);
      drawn.push(group);
      if (one.key === "contours") said.heights.forEach(([lat, lon, turn, text]) => symbol([lat, lon], icon("height", text, 0, turn), group));
    });
    if (fit) map.fitBounds(said.bounds, { animate: false });
    key(said);
  }
  /* The key holds the cover that lies on this ground. */
  function key(said) {
    find("key-heights").textContent = `contour line, height in ${said.height_unit}`;
    find("key-cover").hidden = !said.kinds.length;
    find("key-cover").querySelector("ul").replaceChildren(...said.kinds.map(([colour, label]) => {
      const item = make("li"), picture = L.SVG.create("svg"), box = L.SVG.create("rect");
      Object.entries({ x: 1, y: 1, width: 32, height: 16, fill: colour, stroke: "#8b8f98" }).forEach(([name, value]) => box.setAttribute(name, value));
      picture.setAttribute("aria-hidden", "true");
      picture.append(box);
      item.append(picture, make("span", label));
      return item;
    }));
  }
  const marker = (at, face, label, options = {}) => {
    const made = L.marker(at, { icon: face, alt: label, title: label, keyboard: true, riseOnHover: true, ...options });
    made.on("add", () => {
      const element = made.getElement();
      if (element) { element.setAttribute("aria-label", label); element.setAttribute("role", "button"); }
    });
    return made;
  };
  const place = find("place");
  const show = at => { place.textContent = `${Place.usng(at.wrap().lng, at.wrap().lat)}   ${Place.degrees(at.wrap().lng, at.wrap().lat)}`; };
  map.on("mousemove", event => show(event.latlng));
  map.on("move", () => show(map.getCenter()));
  show(map.getCenter());
  /* heights on contour lines are read from near only */
  const NEAR = 13.5;
  map.on("zoomend", () => map.getContainer().classList.toggle("far", map.getZoom() < NEAR));
  new ResizeObserver(() => map.invalidateSize({ animate: false })).observe(find("map"));
  const onGround = at => !bounds || bounds.contains(at);
  return { onGround, map, scale, ground, icon, symbol, layer, marker, get bounds() { return bounds; } };
})();
