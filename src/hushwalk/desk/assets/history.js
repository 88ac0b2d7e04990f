/* The history of plans: undo and redo, names, going back, and two held against each other. */
"use strict";
const History = (() => {
  const { find, make, button, ask } = Desk;
  let shown = false;
  async function list() {
    const { versions } = await ask("history");
    const box = find("history");
    const rows = versions.slice().reverse().map(one => {
      const row = make("li", undefined, one.now ? "now" : "");
      row.append(make("b", one.name || one.change), make("span", ` ${new Date(one.made_at).toLocaleTimeString()}`, "quiet"));
      if (!one.now) row.append(button("Go back to it", () => ask("go", { version: one.number }).then(Start.take)));
      return row;
    });
    const all = make("ol");
    all.append(...rows);
    box.replaceChildren(all);
  }
  find("undo").addEventListener("click", () => ask("undo").then(Start.take));
  find("redo").addEventListener("click", () => ask("redo").then(Start.take));
  find("open-history").addEventListener("click", () => {
    shown = !shown;
    find("open-history").setAttribute("aria-expanded", String(shown));
    find("history").hidden = !shown;
    if (shown) list();
  });
  const news = said => {
    find("undo").disabled = said.undo === null;
    find("redo").disabled = said.redo === null;
    if (shown) list();
  };
  return { news };
})();
