/* Charts. A figure's data-chart holds its traces and layout as JSON; colours in it are roles
   ("@available"), looked up in the style sheet when it is drawn, so that a chart follows the
   colour scheme and the printer. The library is asked for only where there is a chart. */
(function () {
  "use strict";

  const CONFIG = {
    responsive: true,
    displaylogo: false,
    showSendToCloud: false,
    plotlyServerURL: "",
  };
  /* Width of a chart on an A4 page within the margins of the print style sheet, in CSS pixels. */
  const PAPER_WIDTH = 690;
  const drawn = new Set();
  let library = null;

  function load() {
    if (library === null) {
      library = new Promise(function (resolve, reject) {
        const script = document.createElement("script");
        script.src = document.querySelector('meta[name="chart-library"]').content;
        script.onload = function () { resolve(window.Plotly); };
        script.onerror = function () { library = null; reject(new Error("no chart library")); };
        document.head.append(script);
      });
    }
    return library;
  }

  function token(style, name) {
    return style.getPropertyValue("--chart-" + name).trim() || style.getPropertyValue("--" + name).trim();
  }

  /* A copy with every "@role" replaced by that role's colour. */
  function coloured(value, style) {
    if (typeof value === "string") {
      return /^@[a-z-]+$/.test(value) ? token(style, value.slice(1)) : value;
    }
    if (Array.isArray(value)) {
      return value.map(function (item) { return coloured(item, style); });
    }
    if (value !== null && typeof value === "object") {
      const copy = {};
      for (const key of Object.keys(value)) { copy[key] = coloured(value[key], style); }
      return copy;
    }
    return value;
  }

  function isPlain(value) {
    return value !== null && typeof value === "object" && !Array.isArray(value);
  }

  function merged(base, over) {
    const out = Object.assign({}, base);
    for (const key of Object.keys(over)) {
      out[key] = isPlain(base[key]) && isPlain(over[key]) ? merged(base[key], over[key]) : over[key];
    }
    return out;
  }

  function axis() {
    return {
      color: "@muted", linecolor: "@muted", tickcolor: "@muted", gridcolor: "@grid",
      zerolinecolor: "@muted", zerolinewidth: 1, showline: true, ticks: "outside", ticklen: 4,
      automargin: true, title: { standoff: 8, font: { color: "@ink" } },
    };
  }

  function layoutOf(spec, area) {
    const style = getComputedStyle(document.documentElement);
    const base = {
      font: { family: getComputedStyle(area).fontFamily, size: 13, color: "@ink" },
      paper_bgcolor: "rgba(0,0,0,0)", plot_bgcolor: "rgba(0,0,0,0)",
      margin: { l: 8, r: 12, t: 34, b: 8 }, showlegend: false, dragmode: false,
      hoverlabel: { bgcolor: "@page", bordercolor: "@muted", font: { color: "@ink" } },
      modebar: { bgcolor: "rgba(0,0,0,0)", color: "@muted", activecolor: "@accent", orientation: "h" },
      legend: { orientation: "h", x: 0, y: 1.02, yanchor: "bottom", font: { color: "@ink" } },
      xaxis: Object.assign(axis(), { zeroline: false }), yaxis: axis(),
    };
    const layout = coloured(merged(base, spec.layout || {}), style);
    if (document.documentElement.dataset.paper) {
      layout.width = PAPER_WIDTH;
      layout.height = area.clientHeight;
    }
    return layout;
  }

  /* A picture is for paper and messages: light, on white, whatever the screen is. */
  function take(figure, format) {
    const area = figure.querySelector(".chart-area");
    const root = document.documentElement;
    const spec = JSON.parse(figure.dataset.chart);
    const printing = root.dataset.paper;
    root.dataset.paper = "yes";
    const picture = { data: coloured(spec.traces, getComputedStyle(root)), layout: layoutOf(spec, area) };
    if (!printing) { delete root.dataset.paper; }
    const title = figure.querySelector(".chart-title").textContent;
    picture.layout.paper_bgcolor = "#ffffff";
    picture.layout.title = { text: title, x: 0.01, y: 0.995, yanchor: "top", font: { size: 15 } };
    picture.layout.margin = Object.assign({}, picture.layout.margin, { t: 64 });
    const name = (document.title.split(" – ")[0] + " " + title).toLowerCase();
    return window.Plotly.downloadImage(picture, {
      format: format, width: area.clientWidth, height: area.clientHeight, scale: format === "png" ? 2 : 1,
      filename: name.replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 80),
    });
  }

  function picture(figure, format, icon) {
    return {
      name: format, title: "Take as " + format.toUpperCase(), icon: icon,
      click: function () { take(figure, format); },
    };
  }

  /* Made once for a figure: to the library another object is another setting, and drawings that
     begin anew while one is under way were seen never to end. */
  const configs = new WeakMap();

  function configOf(figure, Plotly) {
    if (!configs.has(figure)) {
      configs.set(figure, Object.assign({
        modeBarButtons: [["zoomIn2d", "zoomOut2d", "resetScale2d",
          picture(figure, "png", Plotly.Icons.camera), picture(figure, "svg", Plotly.Icons.disk)]],
      }, CONFIG));
    }
    return configs.get(figure);
  }

  function draw(figure) {
    const area = figure.querySelector(".chart-area");
    if (!area || !figure.dataset.chart) { return Promise.resolve(); }
    return load().then(function (Plotly) {
      if (!document.contains(area)) { return null; }
      const spec = JSON.parse(figure.dataset.chart);
      const style = getComputedStyle(document.documentElement);
      drawn.add(area);
      return Plotly.react(area, coloured(spec.traces, style), layoutOf(spec, area), configOf(figure, Plotly));
    }).then(function () {
      /* Sentence and table say it; the drawing would be read out as a heap of tick labels. */
      area.querySelectorAll(".main-svg").forEach(function (drawing) {
        drawing.setAttribute("aria-hidden", "true");
      });
      figure.dataset.drawn = "yes";
    }).catch(function () {
      area.classList.add("failed");
      area.textContent = "The chart could not be drawn. The table below has the same numbers.";
      const table = figure.querySelector("details");
      if (table) { table.open = true; }
    });
  }

  function drawAll(root) {
    const figures = root.querySelectorAll("figure[data-chart]:not([data-drawn])");
    return Promise.all(Array.from(figures, draw));
  }

  function redrawAll() {
    for (const area of drawn) {
      if (document.contains(area)) { draw(area.closest("figure")); }
    }
  }

  function purge(root) {
    for (const area of Array.from(drawn)) {
      if (root === area || root.contains(area)) {
        drawn.delete(area);
        if (window.Plotly) { window.Plotly.purge(area); }
      }
    }
  }

  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redrawAll);
  document.addEventListener("htmx:beforeCleanupElement", function (event) { purge(event.target); });
  document.addEventListener("htmx:afterSettle", function () { drawAll(document); });
  /* On paper the style sheet turns to black on white; the charts must be drawn again for it. */
  window.addEventListener("beforeprint", function () {
    document.documentElement.dataset.paper = "yes";
    redrawAll();
  });
  window.addEventListener("afterprint", function () {
    delete document.documentElement.dataset.paper;
    redrawAll();
  });
  /* A chart that was drawn while it was folded away has no width of its own yet. */
  document.addEventListener("toggle", function (event) {
    if (!event.target.open) { return; }
    for (const area of drawn) {
      if (event.target.contains(area)) { draw(area.closest("figure")); }
    }
  }, true);
  drawAll(document);
})();
