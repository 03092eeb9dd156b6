/* Tables that are read across, their keys and ticks, and parts that fold. */
(function () {
  "use strict";

  function all(selector, root) {
    return Array.from((root || document).querySelectorAll(selector));
  }

  /* ---- a wide table: whether it fits, and whether there is more to the right ---- */

  function measureFrame(frame) {
    const box = frame.querySelector(".table-scroll");
    const table = box && box.querySelector("table");
    if (!table) { return; }
    const fits = table.scrollWidth <= frame.clientWidth + 1;
    frame.toggleAttribute("data-fits", fits);
    frame.toggleAttribute("data-more", !fits && box.scrollLeft + box.clientWidth < box.scrollWidth - 2);
    if (fits) { box.removeAttribute("tabindex"); } else { box.setAttribute("tabindex", "0"); }
  }

  function measureFrames() { all(".table-frame").forEach(measureFrame); }

  window.addEventListener("resize", measureFrames);
  document.addEventListener("scroll", function (event) {
    const frame = event.target.closest && event.target.closest(".table-frame");
    if (frame) { measureFrame(frame); }
  }, true);

  /* ---- a grid of links: one stop for Tab, arrows between them, Enter opens ---- */

  const STOPS = "a[href], button, input";

  function stops(root) {
    return all(STOPS, root).filter(function (stop) { return stop.offsetParent !== null; });
  }

  function prepareGrids() {
    all("table[data-grid]:not([role='grid'])").forEach(function (table) {
      table.setAttribute("role", "grid");
      all(STOPS, table).forEach(function (stop) { stop.tabIndex = -1; });
      const first = table.querySelector("td.cell a") || table.querySelector(STOPS);
      if (first) { first.tabIndex = 0; }
    });
  }

  function moveTo(table, stop) {
    all(STOPS, table).forEach(function (other) { other.tabIndex = -1; });
    stop.tabIndex = 0;
    stop.focus();
    stop.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  /* The stop above or below: at the same place in the cell of the same column, else its first. */
  function beside(from, step) {
    const cell = from.closest("th, td");
    const row = cell.parentElement;
    const rows = all("tr", row.closest("table"));
    const column = cell.cellIndex;
    const place = stops(cell).indexOf(from);
    for (let at = rows.indexOf(row) + step; at >= 0 && at < rows.length; at += step) {
      const found = rows[at].cells[column] ? stops(rows[at].cells[column]) : [];
      if (found.length) { return found[Math.min(place, found.length - 1)]; }
    }
    return null;
  }

  document.addEventListener("focusin", function (event) {
    const table = event.target.closest("table[role='grid']");
    if (!table || event.target.tabIndex === 0 || !event.target.matches(STOPS)) { return; }
    all(STOPS, table).forEach(function (other) { other.tabIndex = -1; });
    event.target.tabIndex = 0;
  });

  document.addEventListener("keydown", function (event) {
    const table = event.target.closest && event.target.closest("table[role='grid']");
    if (!table || event.altKey || event.metaKey || event.shiftKey || !event.target.matches(STOPS)) { return; }
    const row = stops(event.target.closest("tr"));
    const at = row.indexOf(event.target);
    const whole = event.ctrlKey ? stops(table) : row;
    const plain = !event.ctrlKey;
    let next = null;
    switch (event.key) {
      case "ArrowRight": next = plain ? row[at + 1] : null; break;
      case "ArrowLeft": next = plain ? row[at - 1] : null; break;
      case "ArrowDown": next = plain ? beside(event.target, 1) : null; break;
      case "ArrowUp": next = plain ? beside(event.target, -1) : null; break;
      case "Home": next = whole[0]; break;
      case "End": next = whole[whole.length - 1]; break;
      default: return;
    }
    if (event.ctrlKey && event.key.startsWith("Arrow")) { return; }
    event.preventDefault();
    if (next) { moveTo(table, next); }
  });

  /* On a phone the answer comes before the form that asked for it, and what decides before the figures. */
  function foldOnPhones() {
    const narrow = window.matchMedia("(max-width: 40rem)").matches && !document.getElementById("error-summary");
    all("details.phone-fold:not([data-seen])").forEach(function (fold) {
      fold.dataset.seen = "yes";
      const asked = location.hash.length > 1 && fold.querySelector('[id="' + CSS.escape(location.hash.slice(1)) + '"]');
      if (narrow && !asked) { fold.open = false; }
    });
  }

  /* ---- packs to set side by side: two to five ---- */

  const MOST_SIDE = 5;

  function countTicks() {
    const line = document.getElementById("side-says");
    const form = document.getElementById("side-form");
    if (!line || !form) { return; }
    const count = Array.from(form.elements).filter(function (box) { return box.type === "checkbox" && box.checked; }).length;
    line.textContent = count === 0 ? "tick two to five packs"
      : count === 1 ? "1 ticked, one more is needed"
      : count <= MOST_SIDE ? count + " ticked"
      : count + " ticked, five at most";
  }

  document.addEventListener("change", function (event) {
    if (event.target.form && event.target.form.id === "side-form") {
      countTicks();
      document.getElementById("live").textContent = document.getElementById("side-says").textContent;
    }
  });

  /* ---- paper: folded tables are opened, and folded again after ---- */

  window.addEventListener("beforeprint", function () {
    all("details:not([open])").forEach(function (part) {
      if (part.closest("form")) { return; }
      part.open = true;
      part.dataset.folded = "yes";
    });
  });

  window.addEventListener("afterprint", function () {
    all("details[data-folded]").forEach(function (part) {
      part.open = false;
      delete part.dataset.folded;
    });
  });

  /* ---- a link into a folded part opens it ---- */

  function unfold(hash) {
    const there = hash.length > 1 && document.getElementById(decodeURIComponent(hash.slice(1)));
    for (let part = there && there.closest("details"); part; part = part.parentElement.closest("details")) {
      part.open = true;
    }
  }

  document.addEventListener("click", function (event) {
    const link = event.target.closest('a[href^="#"]');
    if (link) { unfold(link.getAttribute("href")); }
  });
  window.addEventListener("hashchange", function () { unfold(location.hash); });
  unfold(location.hash);

  /* ---- a page, or a new main, has come ---- */

  function prepare() {
    foldOnPhones();
    prepareGrids();
    measureFrames();
    countTicks();
  }

  document.addEventListener("htmx:afterSettle", prepare);
  prepare();
})();
