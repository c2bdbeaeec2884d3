// What a test asks a page in a browser.
const look = {
  // The tables as rows of cells.
  cells: () => [...document.querySelectorAll('table')].map(t => [...t.rows].map(r => [...r.cells].map(c => c.textContent))),

  // What is wrong with the drawings: not visible, cut, texts that overlap.
  drawings: () => {
    const wrong = [], name = e => `${e.closest('figure').id}: ${e.textContent || e.tagName}`;
    for (const svg of document.querySelectorAll('svg')) {
      const box = svg.getBoundingClientRect(), texts = [...svg.querySelectorAll('text')].map(e => [e, e.getBoundingClientRect()]);
      if (box.width < 300 || box.height < 100 || !svg.checkVisibility()) wrong.push(name(svg) + ' is not visible');
      for (const e of svg.querySelectorAll('path,text')) {
        const r = e.getBoundingClientRect();
        if (r.left < box.left - 1 || r.right > box.right + 1 || r.top < box.top - 1 || r.bottom > box.bottom + 1) wrong.push(name(e) + ' is cut');
      }
      texts.forEach(([a, p], i) => texts.slice(i + 1).forEach(([b, q]) => {
        // A line of text is higher than its letters.
        const slack = 0.15 * Math.min(p.height, q.height);
        if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 0 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > slack)
          wrong.push(`${name(a)} overlaps ${b.textContent}`);
      }));
    }
    return wrong;
  },

  // What sticks out of the window or must be scrolled to.
  hidden: () => [...document.querySelectorAll('.scroll')].filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.getAttribute('aria-label')),
  sideways: () => document.documentElement.scrollWidth - document.documentElement.clientWidth,

  // Texts whose contrast to what lies below them is less than least, by the formula
  // of WCAG 2.2, 1.4.3. The window must hold the whole page.
  faint: least => {
    const colour = s => (s.match(/[\d.]+/g) || []).map(Number);
    const luminance = c => {
      const [r, g, b] = c.map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const solid = c => c.length >= 3 && (c.length < 4 || c[3] > 0.5);
    const fillOf = e => colour(e instanceof SVGGeometryElement ? getComputedStyle(e).fill : getComputedStyle(e).backgroundColor);
    const wrong = [];
    let count = 0;
    for (const e of document.querySelectorAll('body *')) {
      if (![...e.childNodes].some(n => n.nodeType === Node.TEXT_NODE && n.textContent.trim()) || !e.checkVisibility() || e.matches('title,desc,.skip')) continue;
      const r = e.getBoundingClientRect(), style = getComputedStyle(e);
      const under = document.elementsFromPoint(r.left + r.width / 2, r.top + r.height / 2).filter(u => u.tagName !== 'text');
      const below = under.map(fillOf).find(solid);
      if (!below) { wrong.push('nothing is below ' + e.textContent); continue; }
      const [a, b] = [luminance(colour(e.tagName === 'text' ? style.fill : style.color)), luminance(below)];
      const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
      if (!(ratio >= least)) wrong.push(`${e.textContent}: ${ratio.toFixed(2)}`);
      count++;
    }
    return {count, wrong};
  },
};
