/* The page's own tools on top of the drawn map: stops, place under the pointer, why here, measure, night light. */
"use strict";
function hushwalk(map, groups) {
  const told = JSON.parse(document.getElementById("walk").textContent);
  const zone = told.why.grid.epsg % 100, south = told.why.grid.epsg > 32700;
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
  const whole = L.latLngBounds(told.whole);
  const fit = () => { map.invalidateSize({ animate: false }); map.fitBounds(whole, { padding: [48, 40], animate: false }); };
  fit();

  /* stops, car, arrows, contour heights */
  const icon = (name, text, size, turn) => {
    const face = make("span", text, name);
    if (turn !== undefined) face.style.transform = `rotate(${turn}deg)`;
    return L.divIcon({ html: face, className: "pin", iconSize: [size, size] });
  };
  const pin = (at, face, label, content) => {
    const marker = L.marker(at, { icon: face, alt: label, title: label, keyboard: true, riseOnHover: true });
    marker.bindPopup(content, { maxWidth: 300, maxHeight: 300 });
    marker.on("add", () => { const el = marker.getElement(); if (el) { el.setAttribute("aria-label", label); el.setAttribute("role", "button"); } });
    return marker.addTo(groups.stops);
  };
  const pins = told.stops.map(stop => {
    const content = make("div", undefined, "told");
    content.append(make("h3", stop.title), rows(stop.rows));
    if (stop.why.length) {
      const why = make("ul");
      stop.why.forEach(words => why.append(make("li", words)));
      content.append(make("h4", "Why here"), why);
    }
    return pin(stop.at, icon("stop", String(stop.number), 30), stop.title, content);
  });
  told.stops.forEach(stop => {
    L.marker(stop.at, { icon: icon("time", stop.arrive, 0), interactive: false, keyboard: false }).addTo(groups.stops);
  });
  const car = make("div", undefined, "told");
  car.append(make("h3", "Car"), rows(told.car.rows));
  pin(told.car.at, icon("car", "CAR", 38), "Car", car);
  told.arrows.forEach(([lat, lon, turn]) => {
    L.marker([lat, lon], { icon: icon("arrow", "", 16, turn), interactive: false, keyboard: false }).addTo(groups.walk);
  });
  told.heights.forEach(([lat, lon, turn, text]) => {
    L.marker([lat, lon], { icon: icon("height", text, 0, turn), interactive: false, keyboard: false }).addTo(groups.contours);
  });
  told.lines.forEach(([lat, lon, text]) => {
    L.marker([lat, lon], { icon: icon("gridword", text, 0), interactive: false, keyboard: false }).addTo(groups.grid);
  });
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
    const grid = told.why.grid, [x, y] = Place.toMetres(at.lng, at.lat, zone, south);
    const row = Math.floor((grid.north_m - y) / grid.cell_m), col = Math.floor((x - grid.west_m) / grid.cell_m);
    const content = make("div", undefined, "told");
    content.append(make("h3", "Why here"));
    if (row < 0 || col < 0 || row >= grid.rows || col >= grid.cols) {
      content.append(make("p", "Outside the ground of this trip."));
    } else {
      fill(content, row * grid.cols + col);
    }
    content.append(make("p", Place.usng(at.lng, at.lat), "quiet"));
    L.popup({ maxWidth: 300, maxHeight: 320 }).setLatLng(at).setContent(content).openOn(map);
    say(content.innerText);
  }
  function fill(content, index) {
    const good = value(told.why.suitability, index), males = value(told.why.density, index);
    const height = value(told.why.elevation, index), cover = told.why.cover && value(told.why.cover, index);
    const facts = [];
    if (good === null) facts.push(["suitability", "not known here"]);
    else {
      const band = told.why.bands.find(b => good < b.high) || told.why.bands[told.why.bands.length - 1];
      facts.push(["suitability", `${good.toFixed(2)}, ${band.word}`]);
    }
    if (males !== null) facts.push(["displaying males", `about ${males.toFixed(1)} to the square kilometre`]);
    if (told.why.cover) facts.push(["cover", cover === null ? "not known" : told.why.cover.kinds[Math.round(cover)] || "not named"]);
    if (height !== null) facts.push(["height", `${height.toFixed(0)} m`]);
    content.append(rows(facts), make("h4", "What it is made of"));
    const list = make("ul", undefined, "made");
    told.why.ingredients.forEach(part => {
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
  const length = m => (m < 995 ? `${m.toFixed(0)} m` : `${(m / 1000).toFixed(2)} km`);
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
      result.textContent = `${length(walked)} in all; last piece ${turn3(way)} true, ${turn3(way - told.declination_deg)} compass`;
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

  /* red light keeps the eyes used to the dark */
  const night = document.getElementById("night");
  night.addEventListener("click", () => {
    const on = document.documentElement.classList.toggle("dark");
    night.setAttribute("aria-pressed", String(on));
  });
  window.hushwalkMap = map;
}
