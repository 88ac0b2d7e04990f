/* Take it along: what is written for the field, and links to it. */
"use strict";
Desk.rooms.take = (() => {
  const { find, make, ask, say } = Desk;
  const walk = L.layerGroup();
  let drawn = null, sheet = "", open = false, ready = false;
  function folders() {
    return ask("files").then(answer => {
      find("take-all").hidden = !answer.folders.length;
      find("take-folders").replaceChildren(...answer.folders.flatMap(one => [make("h3", one.name), Drawn.links(one.files)]));
      find("take-phone").hidden = !answer.phone;
      if (answer.phone) {
        find("take-phone-words").textContent = answer.phone.words;
        find("take-phone-address").textContent = answer.phone.address;
      }
    }, () => null);
  }
  find("take-write").addEventListener("click", async () => {
    find("take-write").disabled = true;
    try {
      const { files } = await ask("take");
      Desk.fault("");
      find("take-new").replaceChildren(make("h2", "Written"), Drawn.links(files));
      sheet = files.find(one => one.endsWith(".pdf"));
      find("take-print").hidden = !sheet;
      find("take-write").classList.remove("next");
      find("take-print").classList.add("next");
      find("take-next").textContent = "Print the sheet, and put the GPX on your GPS.";
      say("Written");
      await folders();
      find("take-print").focus();
    } catch (_) { /* the fault is shown */ } finally {
      find("take-write").disabled = !ready;
    }
  });
  find("take-print").addEventListener("click", () => Drawn.link(sheet).click());
  return {
    open() { open = true; walk.addTo(DeskMap.map); folders(); },
    close() { open = false; walk.remove(); },
    news(said) {
      if (!open) return;
      ready = Boolean(said.plan && said.plan.of === said.version && said.plan.whole);
      find("take-write").disabled = !ready;
      if (said.plan && said.trip && said.plan !== drawn) WalkLayer.draw(walk, drawn = said.plan, said.trip.car);
      if (!sheet) find("take-next").textContent = ready ? "Write the plan that stands, then print it." : said.version === null ? "Choose the country first." : "Wait until the plan is whole.";
      find("take-work").hidden = !said.work;
      if (said.work) { find("take-step").textContent = said.work.words; find("take-share").value = said.work.share; }
    },
  };
})();
