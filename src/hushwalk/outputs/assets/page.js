/* The page's own tools on top of the drawn map: stops, place under the pointer, why here, measure. */
"use strict";
function hushwalk(map, groups) {
  const walk = JSON.parse(document.getElementById("walk").textContent);
  const zone = walk.why.grid.epsg % 100, south = walk.why.grid.epsg > 32700;
  const make = (tag, text, name) => {
    const made = document.createElement(tag);
    if (text !== undefined) made.textContent = text;
    if (name) made.className = name;
    return made;
  };
  const rows = pairs => {
    const list = make("dl");
    pairs.forEach(([what, words]) => list.append(make("dt", what), make("dd", words)));
    return list;
  };
  const say = words => { document.getElementById("said").textContent = words; };

  /* the map takes the place of the picture */
  document.documentElement.classList.add("live");
  map.attributionControl.setPrefix(false);
  map.getContainer().setAttribute("aria-label", "Map of the walk. Arrow keys move it, plus and minus zoom.");
  map.getContainer().setAttribute("role", "application");
  const whole = L.latLngBounds(walk.whole);
  const fit = () => { map.invalidateSize({ animate: false }); map.fitBounds(whole, { padding: [48, 40], animate: false }); };
  fit();
  const tall = Math.max(200, Math.min(460, map.getSize().y - 110));
  const pinSize = map.getSize().x < 520 ? 24 : 30;
  map.getContainer().style.setProperty("--pin", `${pinSize}px`);

  /* stops, car, arrows, contour heights */
  const icon = (name, text, size, turn) => {
    const face = make("span", text, name);
    if (turn !== undefined) face.style.transform = `rotate(${turn}deg)`;
    return L.divIcon({ html: face, className: "pin", iconSize: [size, size] });
  };
  const pin = (at, face, label, content, group) => {
    const marker = L.marker(at, { icon: face, alt: label, title: label, keyboard: true, riseOnHover: true });
    marker.bindPopup(content, { maxWidth: 300, maxHeight: tall });
    marker.on("add", () => { const el = marker.getElement(); if (el) { el.setAttribute("aria-label", label); el.setAttribute("role", "button"); } });
    return marker.addTo(groups[group || "stops"]);
  };
  const pins = walk.stops.map(stop => {
    const content = make("div", undefined, "facts");
    content.append(make("h3", stop.title), rows(stop.rows));
    if (stop.why.length) {
      const why = make("ul");
      stop.why.forEach(words => why.append(make("li", words)));
      content.append(make("h4", "Why here"), why);
    }
    return pin(stop.at, icon("stop", String(stop.number), pinSize), stop.title, content);
  });
  [["symbols", 590], ["times", 595]].forEach(([name, height]) => {
    map.createPane(name).style.cssText = `z-index:${height};pointer-events:none`;
  });
  const symbol = (at, face, group, pane) => L.marker(at, { icon: face, pane, interactive: false, keyboard: false }).addTo(group);
  const times = walk.stops.map(stop => symbol(stop.at, icon("time", stop.arrive, 0), groups.stops, "times"));
  const found = walk.found || [], movable = [];
  found.forEach(thing => {
    const content = make("div", undefined, "facts");
    content.append(make("h3", thing.title), rows(thing.rows));
    if (thing.why.length) {
      const why = make("ul");
      thing.why.forEach(words => why.append(make("li", words)));
      content.append(why);
    }
    movable.push(pin(thing.at, icon(thing.face, thing.text, 44), thing.title, content, thing.group));
  });
  const car = make("div", undefined, "facts");
  car.append(make("h3", "Car"), rows(walk.car.rows));
  movable.unshift(pin(walk.car.at, icon("car", "CAR", 38), "Car", car));
  const heads = walk.arrows.map(([lat, lon, turn]) => symbol([lat, lon], icon("arrow", "", 16, turn), groups.walk, "symbols"));
  walk.heights.forEach(([lat, lon, turn, text]) => symbol([lat, lon], icon("height", text, 0, turn), groups.contours, "symbols"));
  walk.lines.forEach(([lat, lon, text]) => symbol([lat, lon], icon("gridword", text, 0), groups.grid, "symbols"));

  /* times stand where they hide no stop, arrows where there is room; what has none waits for a closer look */
  const WIDE = 48, HIGH = 20, PIN = pinSize / 2 + 2;
  const sides = [[PIN, -24], [PIN, -HIGH / 2], [-PIN - WIDE, -24], [-PIN - WIDE, -HIGH / 2], [-WIDE / 2, -PIN - HIGH - 1],
    [-WIDE / 2, PIN + 1], [PIN, 4], [-PIN - WIDE, 4]];
  const touch = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
  /* car, birds and logs step aside from numbers and from one another, with a leader to where they are */
  const AWAY = [[0, 0], [0, -1], [1, 0], [0, 1], [-1, 0], [.8, -.8], [.8, .8], [-.8, .8], [-.8, -.8]];
  function aside(spots) {
    const taken = spots.map(at => [at.x - PIN, at.y - PIN, at.x + PIN, at.y + PIN]);
    return movable.map(marker => {
      const at = map.latLngToLayerPoint(marker.getLatLng()), el = marker.getElement();
      const boxes = [1, 1.6].flatMap(far => AWAY.map(([x, y]) => [x * 46 * far, y * 34 * far]))
        .map(([x, y]) => [at.x + x - 23, at.y + y - 12, at.x + x + 23, at.y + y + 12, x, y]);
      const box = boxes.find(one => !taken.some(other => touch(one, other))) || boxes[0];
      taken.push(box);
      if (!el) return box;
      const [x, y] = [box[4], box[5]], face = el.querySelector(".car, .bird, .log");
      if (face) face.style.transform = x || y ? `translate(${x}px, ${y}px)` : "";
      let line = el.querySelector(".leader");
      if (!line) { line = make("i", undefined, "leader"); el.prepend(line); }
      line.style.width = `${Math.hypot(x, y)}px`;
      line.style.transform = `rotate(${Math.atan2(y, x)}rad)`;
      return box;
    });
  }
  function tidy() {
    const spots = walk.stops.map(stop => map.latLngToLayerPoint(stop.at)), home = map.latLngToLayerPoint(walk.car.at);
    const taken = [...spots.map(at => [at.x - PIN, at.y - PIN, at.x + PIN, at.y + PIN]), ...aside(spots)];
    times.forEach((marker, k) => {
      const face = marker.getElement() && marker.getElement().firstChild;
      if (!face) return;
      const found = sides.map(([x, y]) => [spots[k].x + x, spots[k].y + y, spots[k].x + x + WIDE, spots[k].y + y + HIGH])
        .find(box => !taken.some(other => touch(box, other)));
      face.style.display = found ? "block" : "none";
      if (!found) return;
      taken.push(found);
      face.style.left = `${found[0] - spots[k].x}px`;
      face.style.top = `${found[1] - spots[k].y}px`;
    });
    let last = null;
    heads.forEach(marker => {
      const face = marker.getElement(), at = map.latLngToLayerPoint(marker.getLatLng());
      if (!face) return;
      const free = [...spots, home].every(spot => spot.distanceTo(at) > PIN + 8) && (!last || last.distanceTo(at) > 55);
      face.style.display = free ? "" : "none";
      if (free) last = at;
    });
  }
  map.on("zoomend overlayadd", tidy);
  /* on a narrow map a pop-up takes all the room, so that the controls give way while it is open */
  map.on("popupopen", () => map.getContainer().classList.add("reading"));
  map.on("popupclose", () => map.getContainer().classList.remove("reading"));
  tidy();
  document.querySelectorAll("[data-stop]").forEach(button => button.addEventListener("click", () => {
    const marker = pins[Number(button.dataset.stop) - 1];
    if (!map.hasLayer(groups.stops)) groups.stops.addTo(map);
    map.getContainer().scrollIntoView({ block: "start" });
    map.setView(marker.getLatLng(), Math.max(map.getZoom(), 15), { animate: false });
    marker.openPopup();
  }));

  /* the place under the pointer; under the cross when there is no pointer */
  const readout = document.getElementById("place");
  const show = at => {
    const at2 = at.wrap();
    readout.replaceChildren(
      make("span", Place.usng(at2.lng, at2.lat)),
      make("span", "UTM " + Place.utm(at2.lng, at2.lat, zone, south)),
      make("span", Place.degrees(at2.lng, at2.lat)));
  };
  let pointer = false;
  map.on("mousemove", event => { pointer = true; show(event.latlng); });
  map.on("mouseout", () => { pointer = false; show(map.getCenter()); });
  map.on("move", () => { if (!pointer) show(map.getCenter()); });
  show(map.getCenter());

  /* why here */
  const unpacked = new Map();
  const cells = layer => {
    if (!unpacked.has(layer)) unpacked.set(layer, Uint8Array.from(atob(layer.cells), c => c.charCodeAt(0)));
    return unpacked.get(layer);
  };
  const value = (layer, index) => {
    const number = cells(layer)[index];
    return number === 255 ? null : layer.offset + number * layer.step;
  };
  function why(at) {
    const grid = walk.why.grid, [x, y] = Place.toMetres(at.lng, at.lat, zone, south);
    const row = Math.floor((grid.north_m - y) / grid.cell_m), col = Math.floor((x - grid.west_m) / grid.cell_m);
    const content = make("div", undefined, "facts");
    content.append(make("h3", "Why here"));
    if (row < 0 || col < 0 || row >= grid.rows || col >= grid.cols) {
      content.append(make("p", "Outside the ground of this trip."));
    } else {
      fill(content, row * grid.cols + col);
    }
    content.append(make("p", Place.usng(at.lng, at.lat), "quiet"));
    L.popup({ maxWidth: 300, maxHeight: tall }).setLatLng(at).setContent(content).openOn(map);
    say(content.innerText);
  }
  function fill(content, index) {
    const good = value(walk.why.suitability, index), males = value(walk.why.density, index);
    const height = value(walk.why.elevation, index), cover = walk.why.cover && value(walk.why.cover, index);
    const facts = [];
    if (good === null) facts.push(["suitability", "not known here"]);
    else {
      const band = walk.why.bands.find(b => good < b.high) || walk.why.bands[walk.why.bands.length - 1];
      facts.push(["suitability", `${good.toFixed(2)}, ${band.word}`]);
    }
    if (males !== null) facts.push(["displaying males", `about ${(males * walk.units.wide[1]).toFixed(1)} to the ${walk.units.wide[0]}`]);
    if (walk.why.cover) facts.push(["cover", cover === null ? "not known" : walk.why.cover.kinds[Math.round(cover)] || "not named"]);
    if (height !== null) facts.push(["height", `${(height / walk.units.height[1]).toFixed(0)} ${walk.units.height[0]}`]);
    content.append(rows(facts), make("h4", "What it is made of"));
    const list = make("ul", undefined, "made");
    walk.why.ingredients.forEach(part => {
      const score = value(part, index), item = make("li");
      const bar = make("span", undefined, "bar"), full = make("i");
      full.style.width = `${Math.round(100 * (score || 0))}%`;
      bar.append(full);
      item.append(make("b", score === null ? "?" : score.toFixed(2)), bar, make("span", part.label),
        make("small", `${part.role}, weight ${part.weight.toFixed(2)}${part.assumed ? ", assumed" : ""}`));
      list.append(item);
    });
    content.append(list);
  }

  /* measure */
  const ruler = { on: false, points: [], drawn: L.layerGroup().addTo(map) };
  const measureButton = document.getElementById("measure"), result = document.getElementById("measured");
  const length = m => (m < 995 ? `${(m / walk.units.short[1]).toFixed(0)} ${walk.units.short[0]}`
    : `${(m / walk.units.long[1]).toFixed(2)} ${walk.units.long[0]}`);
  const turn3 = deg => String(Math.round(deg + 720) % 360).padStart(3, "0") + "°";
  function bearing(a, b) {
    const rad = Math.PI / 180, dl = (b.lng - a.lng) * rad, p = a.lat * rad, q = b.lat * rad;
    return Math.atan2(Math.sin(dl) * Math.cos(q), Math.cos(p) * Math.sin(q) - Math.sin(p) * Math.cos(q) * Math.cos(dl)) / rad;
  }
  function drawRuler() {
    ruler.drawn.clearLayers();
    const line = ruler.points;
    if (line.length) L.polyline(line, { className: "ruler", interactive: false }).addTo(ruler.drawn);
    line.forEach(at => L.circleMarker(at, { radius: 4, className: "rulerpoint", interactive: false }).addTo(ruler.drawn));
    let walked = 0;
    for (let k = 1; k < line.length; k++) {
      const a = Place.toMetres(line[k - 1].lng, line[k - 1].lat, zone, south), b = Place.toMetres(line[k].lng, line[k].lat, zone, south);
      walked += Math.hypot(b[0] - a[0], b[1] - a[1]);
    }
    if (line.length < 2) result.textContent = "Click two or more places. Enter takes the cross, Backspace takes one back, Escape ends.";
    else {
      const way = bearing(line[line.length - 2], line[line.length - 1]);
      result.textContent = `${length(walked)} in all; last piece ${turn3(way)} true, ${turn3(way - walk.declination_deg)} compass`;
    }
  }
  function measuring(on) {
    ruler.on = on;
    measureButton.setAttribute("aria-pressed", String(on));
    result.hidden = !on;
    map.getContainer().classList.toggle("measuring", on);
    ruler.points = [];
    drawRuler();
    if (on) map.closePopup(); else ruler.drawn.clearLayers();
  }
  measureButton.addEventListener("click", () => measuring(!ruler.on));
  document.getElementById("whyhere").addEventListener("click", () => why(map.getCenter()));
  document.getElementById("whole").addEventListener("click", fit);
  map.on("click", event => {
    if (ruler.on) { ruler.points.push(event.latlng); drawRuler(); } else why(event.latlng);
  });
  document.addEventListener("keydown", event => {
    if (!ruler.on || event.target.closest("button, input, a, summary")) return;
    if (event.key === "Enter") { ruler.points.push(map.getCenter()); drawRuler(); }
    else if (event.key === "Backspace") { ruler.points.pop(); drawRuler(); event.preventDefault(); }
    else if (event.key === "Escape") measuring(false);
  });
  window.hushwalkMap = map;
  if (walk.notes) hushwalkNotes(map, walk, L.layerGroup().addTo(map));
}
