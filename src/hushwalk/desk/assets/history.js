/* The versions of the trip: undo and redo, names, going back, and two held against each other. */
"use strict";
const History = (() => {
  const { find, make, button, ask, say } = Desk;
  let shown = false, compared = null, known = "";
  const group = L.layerGroup().addTo(DeskMap.map);
  const quiet = () => null; /* the fault is shown */
  const time = said => new Date(said).toLocaleString(undefined, { weekday: "short", hour: "2-digit", minute: "2-digit" });
  async function list() {
    const { versions } = await ask("history");
    const rows = versions.slice().reverse().map(one => {
      const row = make("li", undefined, one.now ? "now" : ""), name = make("input");
      name.value = one.name;
      name.placeholder = one.change;
      name.maxLength = 80;
      name.setAttribute("aria-label", `Name of version ${one.number}, ${one.change}`);
      name.addEventListener("change", () => ask("name", { version: one.number, name: name.value }).catch(quiet));
      row.append(name, make("span", `${one.name ? `${one.change}, ` : ""}${time(one.made_at)}${one.now ? ", stands now" : ""}`, "quiet"));
      if (!one.now) {
        const tools = make("div", undefined, "tools");
        tools.append(button("Go back to it", () => ask("go", { version: one.number }).then(Start.take, quiet)));
        if (one.planned) tools.append(button("Compare", () => compare(one).catch(quiet)));
        row.append(tools);
      }
      return row;
    });
    const all = make("ol"), box = find("history");
    all.append(...rows);
    const table = box.querySelector(".compared");
    box.replaceChildren(...(table && compared ? [table] : []), all);
  }
  const FIGURES = [["males expected", plan => plan.males.toFixed(2)], ["minutes", plan => plan.minutes.toFixed(0)], ["stops", plan => String(plan.stops.length)]];
  /* Hold another plan against the one that stands: on the map and as a table. */
  async function compare(one) {
    const { plan } = await ask("kept", { version: one.number }), now = Start.last.plan;
    if (!plan || !now) return;
    compared = one.number;
    WalkLayer.other(group, plan);
    const table = make("table"), head = make("tr"), body = make("tbody");
    ["", "now", one.name || one.change].forEach(words => { const cell = make("th", words); cell.scope = "col"; head.append(cell); });
    const rows = [...FIGURES, ...now.headline.filter(([what]) => what === "leave" || what === "back").map(([what]) => [what, of => (of.headline.find(pair => pair[0] === what) || [])[1]])];
    rows.forEach(([what, figure]) => {
      const row = make("tr"), first = make("th", what);
      first.scope = "row";
      row.append(first, make("td", figure(now)), make("td", figure(plan)));
      body.append(row);
    });
    const top = make("thead"), box = make("div", undefined, "compared");
    top.append(head);
    table.append(top, body);
    box.append(table, make("p", "The other walk is drawn in grey dashes.", "quiet"), button("End comparing", end));
    const old = find("history").querySelector(".compared");
    if (old) old.remove();
    find("history").prepend(box);
    say(`Compared with ${one.name || one.change}`);
  }
  function end() {
    compared = null;
    group.clearLayers();
    const old = find("history").querySelector(".compared");
    if (old) old.remove();
  }
  find("undo").addEventListener("click", () => ask("undo").then(Start.take, quiet));
  find("redo").addEventListener("click", () => ask("redo").then(Start.take, quiet));
  document.addEventListener("keydown", event => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || /^(INPUT|TEXTAREA)$/.test(event.target.tagName)) return;
    const which = event.key.toLowerCase() === "z" ? (event.shiftKey ? "redo" : "undo") : event.key.toLowerCase() === "y" ? "redo" : "";
    if (!which || find(which).disabled) return;
    event.preventDefault();
    find(which).click();
  });
  find("open-history").addEventListener("click", () => {
    shown = !shown;
    find("open-history").setAttribute("aria-expanded", String(shown));
    find("history").hidden = !shown;
    if (shown) list().catch(quiet);
    else end();
  });
  const news = said => {
    find("undo").disabled = said.undo === null;
    find("redo").disabled = said.redo === null;
    const mark = JSON.stringify([said.version, said.plan && said.plan.whole]);
    if (shown && mark !== known) list().catch(quiet);
    known = mark;
  };
  return { news };
})();
