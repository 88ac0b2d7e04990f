(() => {
  "use strict";
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
