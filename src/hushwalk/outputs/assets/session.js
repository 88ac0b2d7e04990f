(() => {
  "use strict";
  const root = document.documentElement, button = document.getElementById("light");
  const KEY = "hushwalk-session-light";
  const kept = () => { try { return localStorage.getItem(KEY); } catch { return null; } };
  const light = (red) => {
    root.classList.toggle("dark", red);
    button.setAttribute("aria-pressed", String(red));
    try { localStorage.setItem(KEY, red ? "red" : "day"); } catch { /* the page works without */ }
  };
  button.hidden = false;
  button.addEventListener("click", () => light(!root.classList.contains("dark")));
  if (kept() === "day") light(false);
  const rows = [...document.querySelectorAll("tr[data-start]")];
  const tick = () => {
    const now = Date.now();
    for (const row of rows) {
      const here = Date.parse(row.dataset.start) <= now && now < Date.parse(row.dataset.end);
      row.classList.toggle("here", here);
      if (!here) continue;
      const box = document.getElementById(row.dataset.box);
      const cells = [...row.cells].map((cell) => cell.textContent);
      box.querySelector("span").textContent = "now, from " + cells[0];
      box.querySelector("b").textContent = cells[2] + (cells[3] ? " · " + cells[3] : "");
    }
  };
  tick();
  setInterval(tick, 20000);
})();
