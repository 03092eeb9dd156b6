/* Folded parts of a long form: their line tells what they hold, a link opens them. */
(function () {
  "use strict";

  const MOST = 3;

  function all(selector, root) {
    return Array.from((root || document).querySelectorAll(selector));
  }

  /* What a box holds, with its unit; as the server writes it. */
  function held(field) {
    const box = field.querySelector("input[type=text], textarea, select:not(.unit-box):not(.how-box)");
    const label = field.querySelector("label");
    if (!box || !label) { return ""; }
    const text = (box.selectedOptions ? box.value && box.selectedOptions[0].text : box.value).trim();
    const unit = (field.querySelector(".unit-box") || {}).value;
    const told = unit && /[0-9]$/.test(text) ? text + " " + unit : text.slice(0, 60);
    return text && label.firstChild.textContent.trim() + " " + told;
  }

  function tell(part) {
    const found = all(".section-body .field", part).map(held).filter(Boolean);
    const more = found.length > MOST ? [found.length - MOST + " more"] : [];
    const line = part.querySelector("[data-filled]");
    line.textContent = found.slice(0, MOST).concat(more).join(" · ") || "nothing filled in";
  }

  function tellAll() {
    all("form[data-dirty] details.section:not([open])").forEach(tell);
  }

  function reveal(hash) {
    const goal = hash && document.getElementById(decodeURIComponent(hash.slice(1)));
    let part = goal && goal.closest("details:not([open])");
    if (!part) { return; }
    while (part) {
      part.open = true;
      part = goal.closest("details:not([open])");
    }
    goal.scrollIntoView();
  }

  document.addEventListener("toggle", tellAll, true);

  document.addEventListener("click", function (event) {
    const link = event.target.closest("a[href^='#']");
    if (link) { reveal(link.hash); }
    const says = event.target.closest(".form-says");
    const form = says && says.closest("form");
    if (form) { setTimeout(function () { all("details.section:not([open])", form).forEach(tell); }); }
  });

  /* By then app.js has put text back that was typed and not saved. */
  document.addEventListener("DOMContentLoaded", function () {
    tellAll();
    reveal(location.hash);
  });
})();
