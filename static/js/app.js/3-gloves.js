/* Larger controls and text, for gloves: asked for at the foot of a page, kept on this device. */
(function () {
  "use strict";

  const KEY = "gripledger-gloves";
  const root = document.documentElement;

  function wanted() {
    try { return localStorage.getItem(KEY) === "yes"; } catch (error) { return false; }
  }

  function show(on) {
    const press = document.getElementById("gloves");
    root.toggleAttribute("data-gloves", on);
    if (press) {
      press.hidden = false;
      press.setAttribute("aria-pressed", String(on));
    }
  }

  document.addEventListener("click", function (event) {
    if (event.target.id !== "gloves") { return; }
    const on = !root.hasAttribute("data-gloves");
    try {
      if (on) { localStorage.setItem(KEY, "yes"); } else { localStorage.removeItem(KEY); }
    } catch (error) { /* it holds for this page, then */ }
    show(on);
    /* Whether a table fits its box is another matter now. */
    window.dispatchEvent(new Event("resize"));
    event.target.scrollIntoView({ block: "nearest" });
  });

  show(wanted());
})();
