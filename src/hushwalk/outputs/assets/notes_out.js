/* Notes leave the page: shared, saved, copied or shown as QR codes. And the phone's compass comes in. */
"use strict";
function handOver({ walk, by, make, say, text, parts }) {
  const name = `notes_${walk.notes.day}.txt`;
  const QR_BYTES = 220; /* judgement: 61 dots a side, some 5 px each on a narrow phone, which any camera reads */
  by("share").hidden = !navigator.share;
  by("share").addEventListener("click", async () => {
    const file = new File([text()], name, { type: "text/plain" }), files = { files: [file], title: name };
    try {
      await navigator.share(navigator.canShare && navigator.canShare(files) ? files : { text: text(), title: name });
    } catch (fault) {
      if (fault.name !== "AbortError") say("Sharing does not work here: save the file or copy the words.");
    }
  });
  by("save").addEventListener("click", () => {
    const link = make("a");
    link.href = URL.createObjectURL(new Blob([text()], { type: "text/plain" }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    say(`${name} is saved. Read it with: hushwalk note TRIP --from ${name}`);
  });
  by("copy").addEventListener("click", async () => {
    const box = by("words");
    box.value = text();
    by("words-place").hidden = false;
    box.select();
    const done = navigator.clipboard ? await navigator.clipboard.writeText(box.value).then(() => true, () => false) : false;
    say(done || document.execCommand("copy") ? "The words are copied; they stand below too." : "Copy the words below by hand.");
  });

  /* a few lines to a code, each part readable alone */
  let shown = 0;
  function drawCode() {
    const all = parts(QR_BYTES);
    shown = Math.min(Math.max(0, shown), Math.max(0, all.length - 1));
    by("code-count").textContent = all.length ? `Code ${shown + 1} of ${all.length}: put the words of all into one text file.` : "No note yet.";
    by("code").replaceChildren();
    if (all.length) by("code").append(drawnCode(all[shown]));
    by("code").setAttribute("aria-label", all.length ? `QR code with the notes: ${all[shown].trim().replace(/\n/g, "; ")}` : "No code");
    by("code-back").disabled = shown === 0;
    by("code-on").disabled = shown >= all.length - 1;
  }
  function drawnCode(words) {
    const code = qrcode(0, "M"), SVG = "http://www.w3.org/2000/svg";
    code.addData(Array.from(new TextEncoder().encode(words), byte => String.fromCharCode(byte)).join(""), "Byte");
    code.make();
    const size = code.getModuleCount(), svg = document.createElementNS(SVG, "svg"), path = document.createElementNS(SVG, "path");
    let drawn = "";
    for (let row = 0; row < size; row++) for (let col = 0; col < size; col++) if (code.isDark(row, col)) drawn += `M${col + 4} ${row + 4}h1v1h-1z`;
    path.setAttribute("d", drawn);
    svg.setAttribute("viewBox", `0 0 ${size + 8} ${size + 8}`);
    svg.setAttribute("shape-rendering", "crispEdges");
    svg.setAttribute("aria-hidden", "true");
    svg.append(path);
    return svg;
  }
  by("codes").addEventListener("click", () => {
    const open = by("codes-place").hidden;
    by("codes-place").hidden = !open;
    by("codes").setAttribute("aria-expanded", String(open));
    shown = 0;
    drawCode();
  });
  by("code-back").addEventListener("click", () => { shown -= 1; drawCode(); });
  by("code-on").addEventListener("click", () => { shown += 1; drawCode(); });
}

/* The phone's own compass: magnetic, and good to some 10 degrees at best, so each reading is marked. */
function readCompass({ by, say, heading }) {
  const button = by("compass");
  if (!("DeviceOrientationEvent" in window) || !window.isSecureContext || !navigator.maxTouchPoints) return;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const ask = DeviceOrientationEvent.requestPermission;
    const allowed = ask ? await ask.call(DeviceOrientationEvent).catch(() => "denied") : "granted";
    if (allowed !== "granted") { say("The phone does not give its compass: type the bearing."); return; }
    const kind = "ondeviceorientationabsolute" in window ? "deviceorientationabsolute" : "deviceorientation";
    say("Hold the phone flat, its top towards the bird.");
    const given = event => {
      const compass = typeof event.webkitCompassHeading === "number" ? event.webkitCompassHeading
        : event.absolute && event.alpha !== null ? 360 - event.alpha : null;
      if (compass === null) return;
      stop();
      heading((compass + 360) % 360);
      say("Read by the phone's compass, and marked so. A real compass is better.");
    };
    const late = setTimeout(() => { stop(); say("The phone's compass says nothing: type the bearing."); }, 4000); /* judgement: a compass that is there speaks within a second */
    const stop = () => { clearTimeout(late); window.removeEventListener(kind, given); };
    window.addEventListener(kind, given);
  });
}
