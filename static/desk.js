// Richer charts on a desk: plotly is fetched only when a chart scrolls into view on a wide screen; the server's SVG stays otherwise.
(() => {
  "use strict";
  const body = document.body;
  const find = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const desk = matchMedia("(min-width: 900px)");
  let library;
  const load = (url) => library ||= new Promise((done, failed) => {
    const script = Object.assign(document.createElement("script"), { src: url, onload: done, onerror: failed });
    document.head.append(script);
  });
  const tint = (layout) => {
    const ink = getComputedStyle(body).getPropertyValue("--ink"), rule = getComputedStyle(body).getPropertyValue("--rule");
    const look = { ...layout, paper_bgcolor: "rgba(0,0,0,0)", plot_bgcolor: "rgba(0,0,0,0)", autosize: true };
    look.font = { ...layout.font, color: ink.trim(), family: getComputedStyle(body).fontFamily };
    for (const axis of Object.keys(layout).filter((key) => /^[xy]axis/.test(key)))
      look[axis] = { ...layout[axis], gridcolor: rule.trim(), linecolor: ink.trim() };
    return look;
  };
  // The figure comes in the colours of the day theme; each is put in place of the theme's own.
  const DAY = { "#12436D": "--s0", "#28A197": "--s1", "#801650": "--s2", "#F46A25": "--s3", "#191917": "--ink", "#B9B5A8": "--edge", "#FCFBF7": "--ground" };
  const themed = (text) => {
    const look = getComputedStyle(body);
    for (const [colour, name] of Object.entries(DAY)) text = text.replaceAll(colour, look.getPropertyValue(name).trim());
    return text;
  };
  const CONFIG = {
    displaylogo: false, responsive: true, plotlyServerURL: "", locale: "en",
    modeBarButtonsToRemove: ["sendChartToCloud", "select2d", "lasso2d", "autoScale2d"],
  };
  async function paint(chart) {
    try {
      const inline = find("script[type='application/json']", chart);
      const text = inline ? inline.textContent
        : await (await fetch(chart.dataset.figure, { credentials: "same-origin" })).text();
      const figure = JSON.parse(themed(text));
      await load(chart.dataset.plotly);
      const drawing = find(".drawing", chart), svg = find(":scope > svg", drawing);
      let plot = find(".plot", drawing);
      if (!plot) {
        plot = Object.assign(document.createElement("div"), { className: "plot" });
        plot.setAttribute("role", "group");
        plot.setAttribute("aria-label", find("title", svg)?.textContent || "");
        drawing.append(plot);
      }
      const height = Math.round(svg.getBoundingClientRect().height) || figure.layout.height;
      await window.Plotly.react(plot, figure.data, tint({ ...figure.layout, height }), CONFIG);
      svg.setAttribute("aria-hidden", "true");
      chart.classList.add("drawn");
    } catch { /* the server's drawing stays */ }
  }
  const seen = "IntersectionObserver" in window && new IntersectionObserver((entries) => {
    for (const { isIntersecting, target } of entries)
      if (isIntersecting && desk.matches) { seen.unobserve(target); paint(target); }
  }, { rootMargin: "200px" });
  function watchCharts(within) {
    if (seen) all("[data-chart]:not(.drawn)", within).forEach((chart) => seen.observe(chart));
  }
  watchCharts(document);
  document.addEventListener("fresh", (event) => watchCharts(event.detail));
  document.addEventListener("htmx:afterSwap", () => watchCharts(document));
  document.addEventListener("recolour", () => all("[data-chart].drawn").forEach(paint));
})();
