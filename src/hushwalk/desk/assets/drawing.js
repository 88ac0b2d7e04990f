/* Points on the map by click or key: one place, a line, an area. What they are for is said by who asks. */
"use strict";
const Drawing = (() => {
  const { find, say } = Desk;
  const { map } = DeskMap;
  let now = null;
  const trace = L.polyline([], { color: "#8e1f2f", weight: 4, dashArray: "2 7", interactive: false });
  function close() {
    if (!now) return;
    const done = now;
    now = null;
    trace.remove();
    find("hint").hidden = true;
    map.getContainer().classList.remove("drawing");
    map.doubleClickZoom.enable();
    document.querySelectorAll("[data-tool]").forEach(one => one.setAttribute("aria-pressed", "false"));
    if (done.button) done.button.focus({ preventScroll: true });
  }
  function place(at) {
    if (!now) return;
    if (!now.anywhere && !DeskMap.onGround(at)) {
      say("Outside the ground of the trip");
      find("hint-words").textContent = `That is outside the ground of the trip. ${now.words}`;
      return;
    }
    find("hint-words").textContent = now.words;
    now.points.push([at.lat, at.wrap().lng]);
    trace.setLatLngs(now.closed ? [...now.points, now.points[0]] : now.points);
    find("hint-done").disabled = now.points.length < now.least;
    say(`Point ${now.points.length} set`);
    if (now.most === now.points.length) finish();
  }
  function finish() {
    if (!now || now.points.length < now.least) return;
    const { points, work } = now;
    close();
    work(points);
  }
  /* Start drawing: how many points at least and at most, whether it is an area, and what to do with them. */
  function start(options) {
    const again = now && now.button === options.button;
    close();
    if (again) return;
    now = { points: [], closed: false, most: 0, least: 1, anywhere: false, ...options };
    options.button.setAttribute("aria-pressed", "true");
    find("hint-words").textContent = options.words;
    find("hint-done").hidden = now.most === 1;
    find("hint-done").disabled = true;
    find("hint").hidden = false;
    trace.setLatLngs([]).addTo(map);
    map.getContainer().classList.add("drawing");
    map.doubleClickZoom.disable();
    say(options.words);
  }
  map.on("click", event => place(event.latlng));
  map.on("dblclick", finish);
  find("hint-here").addEventListener("click", () => place(map.getCenter()));
  find("hint-done").addEventListener("click", finish);
  find("hint-cancel").addEventListener("click", close);
  document.addEventListener("keydown", event => { if (event.key === "Escape") close(); });
  return { start, get on() { return now !== null; } };
})();
