/* What the pages do beyond plain HTML. Every page works without this file; with it, typed
   text survives a lost connection, errors come into view, and a second press does nothing. */
(function () {
  "use strict";

  /* Whose drafts: at a shared bench the next to sign in must not meet another's text. */
  const KEEP = "gripledger-draft:" + (document.body.dataset.member ? document.body.dataset.member + ":" : "");
  const SENT = "gripledger-sent";

  /* ---- small helpers ---- */

  function all(selector, root) {
    return Array.from((root || document).querySelectorAll(selector));
  }

  function announce(text) {
    const live = document.getElementById("live");
    if (live) { live.textContent = text; }
  }

  /* A tab's own store goes with the tab, and a phone may end it while the screen is dark. Drafts of
     the bench lie in the browser's, for two days: after that they are somebody's old figures. */
  function shelf(key) {
    return key.indexOf("lasting-") < 0 ? sessionStorage : localStorage;
  }

  function stored(key) {
    try {
      const found = JSON.parse(shelf(key).getItem(key));
      const old = found && found.time && Date.now() - found.time > 2 * 24 * 3600 * 1000;
      return old ? null : found;
    } catch (error) { return null; }
  }

  function store(key, value) {
    try { shelf(key).setItem(key, JSON.stringify(value)); } catch (error) { /* storage is full or closed: the form itself still holds the text */ }
  }

  function forget(key) {
    try { shelf(key).removeItem(key); } catch (error) { /* nothing was kept */ }
  }

  function says(form, text, button, failed, act) {
    quiet(form);
    const box = document.createElement("div");
    box.className = failed ? "form-says failed" : "form-says";
    box.setAttribute("role", failed ? "alert" : "status");
    const line = document.createElement("p");
    line.textContent = text;
    box.append(line);
    const press = document.createElement("button");
    press.type = "button";
    press.className = "button quiet";
    press.textContent = button;
    press.addEventListener("click", act);
    box.append(press);
    form.prepend(box);
    return box;
  }

  function quiet(form) {
    all(":scope > .form-says", form).forEach(function (box) { box.remove(); });
  }

  /* ---- text that was typed and not saved yet ---- */

  function controls(form) {
    return Array.from(form.elements).filter(function (box) {
      return box.name && !/^(hidden|password|submit|button|file)$/.test(box.type || "");
    });
  }

  /* One entry a control: its name, which one of that name it is, what it holds. */
  function typed(form) {
    const seen = {};
    return controls(form).map(function (box) {
      const place = seen[box.name] = (seen[box.name] || 0) + 1;
      const ticks = box.type === "checkbox" || box.type === "radio";
      return [box.name, place, ticks ? box.checked : box.value];
    });
  }

  function put(form, entries) {
    const left = [];
    for (const [name, place, value] of entries) {
      const box = controls(form).filter(function (one) { return one.name === name; })[place - 1];
      if (!box) { left.push([name, place, value]); continue; }
      if (typeof value === "boolean") { box.checked = value; } else { box.value = value; }
    }
    return left;
  }

  function keep(form) {
    const key = KEEP + form.dataset.draft;
    const waiting = (stored(key) || {}).waiting || [];
    store(key, { time: Date.now(), entries: typed(form), waiting: waiting });
  }

  function putBack(form) {
    const key = KEEP + form.dataset.draft;
    const draft = stored(key);
    if (!draft) { return; }
    if (document.getElementById("error-summary") || form.dataset.answered) {
      /* The server sent the form back as it was typed: that text is the newest. Boxes that
         were added since take what had no box before. */
      const left = put(form, draft.waiting || []);
      store(key, { time: Date.now(), entries: typed(form), waiting: left });
      form.dataset.dirty = "yes";
      return;
    }
    const before = JSON.stringify(typed(form));
    if (JSON.stringify(draft.entries) === before) { return; }
    const fresh = typed(form);
    const left = put(form, draft.entries);
    store(key, { time: draft.time, entries: draft.entries, waiting: left });
    form.dataset.dirty = "yes";
    const when = new Date(draft.time);
    const clock = String(when.getHours()).padStart(2, "0") + ":" + String(when.getMinutes()).padStart(2, "0");
    says(form, "What you typed until " + clock + " and did not save was put back.", "Discard it", false, function () {
      forget(key);
      put(form, fresh);
      delete form.dataset.dirty;
      quiet(form);
    });
  }

  function clearSaved() {
    const sent = stored(SENT);
    if (sent && document.querySelector("[data-saved]")) { forget(KEEP + sent); }
    forget(SENT);
  }

  let later = 0;
  document.addEventListener("input", function (event) {
    const form = event.target.form;
    if (!form || !form.dataset.draft) { return; }
    form.dataset.dirty = "yes";
    clearTimeout(later);
    later = setTimeout(function () { keep(form); }, 250);
  });

  function keepAll() {
    all("form[data-draft][data-dirty]").forEach(keep);
  }

  window.addEventListener("pagehide", keepAll);
  /* The last that a phone tells before it may end the tab. */
  document.addEventListener("visibilitychange", function () {
    if (document.visibilityState === "hidden") { keepAll(); }
  });

  window.addEventListener("beforeunload", function (event) {
    if (all("form[data-draft][data-dirty]:not([data-sent])").length) { event.preventDefault(); }
  });

  document.addEventListener("click", function (event) {
    const leave = event.target.closest("[data-discard]");
    const form = leave && leave.closest("form[data-draft]");
    if (form) {
      forget(KEEP + form.dataset.draft);
      delete form.dataset.dirty;
    }
  });

  /* ---- one press, one request ---- */

  function lock(form, submitter) {
    form.dataset.sent = "yes";
    form.setAttribute("aria-busy", "true");
    const button = submitter || form.querySelector('button[type="submit"]');
    if (button && button.dataset.busy && !button.dataset.word) {
      /* Answers faster than this need no word. */
      form.slow = setTimeout(function () {
        button.dataset.word = button.textContent;
        button.textContent = button.dataset.busy;
        announce(button.dataset.busy);
      }, 150);
    }
  }

  function unlock(form) {
    clearTimeout(form.slow);
    delete form.dataset.sent;
    form.removeAttribute("aria-busy");
    all("button[data-word]", form).forEach(function (button) {
      button.textContent = button.dataset.word;
      delete button.dataset.word;
    });
  }

  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (form.method !== "post") { return; }
    if (form.dataset.sent) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    if (form.dataset.draft) {
      keep(form);
      store(SENT, form.dataset.draft);
    } else {
      /* The next notice will be about this form, not about text that waits elsewhere. */
      forget(SENT);
    }
    lock(form, event.submitter);
  }, true);

  window.addEventListener("pageshow", function (event) {
    if (event.persisted) { all("form[data-sent]").forEach(unlock); }
  });

  /* ---- htmx: what is under way, what came, what did not ---- */

  function targetOf(event) { return event.detail.target; }

  document.addEventListener("htmx:beforeRequest", function (event) {
    const target = targetOf(event);
    if (target) { target.setAttribute("aria-busy", "true"); }
    const form = event.detail.elt.closest("form");
    if (form) { quiet(form); }
  });

  document.addEventListener("htmx:afterRequest", function (event) {
    const target = targetOf(event);
    if (target) { target.removeAttribute("aria-busy"); }
    const xhr = event.detail.xhr;
    const leaving = xhr && xhr.getResponseHeader && xhr.getResponseHeader("HX-Redirect");
    const form = event.detail.elt.closest("form");
    if (form && !leaving) { unlock(form); }
  });

  function sentence(xhr) {
    if (!xhr || !xhr.status) {
      return "The server did not answer. Nothing was saved; what you typed is still here.";
    }
    const page = new DOMParser().parseFromString(xhr.responseText || "", "text/html");
    const failure = page.getElementById("failure");
    const line = failure && failure.querySelector("p");
    const reference = xhr.getResponseHeader("Gripledger-Reference");
    let text = line ? line.textContent.trim() : "The server answered with an error (" + xhr.status + ").";
    if (reference) { text += " Reference number: " + reference + "."; }
    return text;
  }

  function failed(event) {
    const from = event.detail.elt;
    const form = from.closest("form");
    const place = form || document.getElementById("main");
    says(place, sentence(event.detail.xhr), "Try again", true, function () {
      quiet(place);
      if (form && from === form) { form.requestSubmit(); } else { from.click(); }
    });
  }

  ["htmx:responseError", "htmx:sendError", "htmx:timeout"].forEach(function (name) {
    document.addEventListener(name, failed);
  });

  document.addEventListener("htmx:afterSettle", function (event) {
    const posted = event.detail.requestConfig && event.detail.requestConfig.verb !== "get";
    arrive(posted);
    const count = document.querySelector("main [data-announce]");
    if (count && !posted) { announce(count.textContent.trim()); }
    if (document.activeElement === document.body) {
      const target = document.getElementById((event.detail.target || {}).id);
      if (target) {
        if (!target.hasAttribute("tabindex")) { target.setAttribute("tabindex", "-1"); }
        target.focus({ preventScroll: true });
      }
    }
  });

  /* ---- counts: − and + ---- */

  document.addEventListener("click", function (event) {
    const press = event.target.closest("button[data-step]");
    const box = press && document.getElementById(press.dataset.for);
    if (!box) { return; }
    const text = box.value.trim();
    const least = Number(press.dataset.least);
    const now = /^[0-9]{1,6}$/.test(text) ? Number(text) : least - Number(press.dataset.step > 0);
    if (text !== "" && !/^[0-9]{1,6}$/.test(text)) { return; }
    box.value = String(Math.max(least, now + Number(press.dataset.step)));
    box.dispatchEvent(new Event("input", { bubbles: true }));
    announce(press.getAttribute("aria-label").split(":")[0] + ": " + box.value);
  });

  /* ---- a page, or a new main, has come ---- */

  function arrive(answered) {
    const summary = document.getElementById("error-summary") || document.getElementById("looked");
    if (answered) {
      forget(SENT);
      all("form[data-draft]").forEach(function (form) { form.dataset.answered = "yes"; });
    }
    if (!answered || summary) { all("form[data-draft]").forEach(putBack); }
    if (summary) { summary.focus(); }
  }

  clearSaved();
  arrive(false);
})();
