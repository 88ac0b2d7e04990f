/* What the stories draw on the map, shown and taken away together: layers, pins, and links to what was written. */
"use strict";
const Drawn = (() => {
  const { make } = Desk;
  const { map, icon, marker, layer } = DeskMap;
  const FACES = { bird: 34, log: 30, stand: 34, area: 30, place: 30 };
  /* A group of drawings of one room. */
  function group() {
    const all = L.layerGroup();
    function show(said, chosen) {
      all.clearLayers();
      (said.layers || []).forEach(one => layer(one.parts).addTo(all));
      const pins = (said.pins || []).map(pin => {
        const face = FACES[pin.face] ? pin.face : "place";
        const made = marker(pin.at, icon(`found ${face}`, pin.text, FACES[face]), pin.title);
        if (chosen) made.on("click", () => chosen(pin));
        return made.addTo(all);
      });
      const bounds = L.featureGroup(all.getLayers().flatMap(one => (one.getLayers ? one.getLayers() : [one]))).getBounds();
      if (bounds.isValid()) map.fitBounds(bounds, { padding: [40, 40], maxZoom: 16, animate: false });
      return pins;
    }
    return { show, clear: () => all.clearLayers(), open: () => all.addTo(map), close: () => all.remove() };
  }
  const NAMES = [[/sheet_a4\.pdf$|search_a4\.pdf$|session_.*_a4\.pdf$/, "Sheet, A4"], [/letter\.pdf$/, "Sheet, US letter"], [/\.html$/, "Page"], [/\.gpx$/, "GPX, for the GPS"],
    [/\.kml$/, "KML"], [/\.gpkg$/, "GeoPackage"], [/\.geojson$/, "GeoJSON"], [/\.json$/, "Summary, JSON"], [/\.csv$/, "Table, CSV"]];
  /* A link to a file that the desk gives; pages and sheets open beside the desk. */
  function link(file, name) {
    const made = make("a", name || (NAMES.find(([form]) => form.test(file)) || [0, file])[1], "file");
    made.href = `/files/${file.split("/").map(encodeURIComponent).join("/")}`;
    made.title = file;
    if (/\.(html|pdf)$/.test(file)) { made.target = "_blank"; made.rel = "noopener"; }
    return made;
  }
  const rank = file => { const k = NAMES.findIndex(([form]) => form.test(file)); return k < 0 ? NAMES.length : k; };
  const links = files => {
    const list = make("ul", undefined, "files");
    files.slice().sort((one, other) => rank(one) - rank(other)).forEach(file => { const item = make("li"); item.append(link(file)); list.append(item); });
    return list;
  };
  /* Words as a command writes them, line by line; a line that is too long goes on below, a little to the right. */
  function words(lines) {
    const made = make("div", undefined, "words");
    lines.forEach(line => {
      const row = make("p", line.trim() || " ");
      row.style.paddingLeft = `${line.search(/\S|$/) + 2}ch`;
      made.append(row);
    });
    return made;
  }
  return { group, link, links, words };
})();
