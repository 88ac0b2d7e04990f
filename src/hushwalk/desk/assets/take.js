/* Take it along: what is written for the field, and links to it. */
"use strict";
Desk.rooms.take = (() => {
  const { find, make, ask, say } = Desk;
  const walk = L.layerGroup();
  let drawn = null, sheet = "", written = null, open = false, ready = false;
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
    const of = Start.last.version;
    find("take-write").disabled = true;
    try {
      const { files } = await ask("take");
      Desk.fault("");
      find("take-new").replaceChildren(make("h2", "Written"), Drawn.links(files));
      sheet = files.find(one => one.endsWith(".pdf"));
      written = of;
      buttons();
      say("Written");
      await folders();
      find("take-print").focus();
    } catch (_) { /* the fault is shown */ } finally {
      find("take-write").disabled = !ready;
    }
  });
  find("take-print").addEventListener("click", () => Drawn.link(sheet).click());
  find("take-on").addEventListener("click", () => ask("plan").then(Start.take, () => null));
  /* The sheet is that of the version that was written: after a change it is written anew. */
  function buttons() {
    const stands = Boolean(sheet) && written === Start.last.version;
    find("take-print").hidden = !stands;
    find("take-print").classList.toggle("next", stands);
    if (!stands) find("take-new").replaceChildren();
    find("take-write").classList.toggle("next", !stands);
    return stands;
  }
  function nextStep(said, stands) {
    if (said.version === null) return "Choose the country first.";
    if (stands) return "Print the sheet, and put the GPX on your GPS.";
    if (ready) return sheet ? "The plan has changed since it was written: write it anew." : "Write the plan that stands, then print it.";
    if (said.work) return "Wait until the plan is whole.";
    return said.fault ? "There is no plan yet: mend what is said above." : "Planning was stopped before the plan was whole.";
  }
  return {
    open() { open = true; walk.addTo(DeskMap.map); folders(); },
    close() { open = false; walk.remove(); },
    news(said) {
      if (!open) return;
      ready = Boolean(said.plan && said.plan.of === said.version && said.plan.whole);
      find("take-write").disabled = !ready;
      if (said.plan && said.trip && said.plan !== drawn) WalkLayer.draw(walk, drawn = said.plan, said.trip.car);
      find("take-on").hidden = ready || Boolean(said.work || said.fault) || said.version === null;
      find("take-next").textContent = nextStep(said, buttons());
      find("take-work").hidden = !said.work;
      if (said.work) { find("take-step").textContent = said.work.words; find("take-share").value = said.work.share; }
    },
  };
})();
