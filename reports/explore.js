// Reads the tables beside it, so that a computed torque shows what the table has. Between
// two torques value and bounds are interpolated, each on a logarithmic scale.
(() => {
  const box = document.getElementById('explore');
  const steps = Number(box.dataset.steps), unit = box.dataset.unit;
  const at = id => document.getElementById('explore-' + id);
  const torque = at('torque'), limit = at('limit');
  const torques = box.dataset.torques.split('|'), limits = box.dataset.limits.split('|');
  const rows = [...box.querySelectorAll('tr[data-label]')].map(tr => ({
    label: tr.dataset.label, name: tr.cells[0].textContent, condition: tr.dataset.condition, target: tr.dataset.target, moved: Number(tr.dataset.moved),
    cells: [...tr.cells].slice(1).map(td => ({text: td.textContent, numbers: td.dataset.p.split(' ').map(Number)})),
  }));

  const between = (a, b, share) => a > 0 && b > 0 ? Math.exp((1 - share) * Math.log(a) + share * Math.log(b)) : (1 - share) * a + share * b;
  const short = p => p === 0 ? '0' : p >= 0.01 ? String(Number(p.toPrecision(2))) : p.toExponential(1);
  const parts = text => {
    const m = text.match(/^(\S+) \((\S+) … (\S+)\)$/);
    return m ? m.slice(1) : ['none seen', '0', text];
  };
  const oneIn = p => p > 0 ? '1 in ' + Number((1 / p).toPrecision(2)).toLocaleString('en', {useGrouping: false}) : 'none seen';

  // What a row says at the place of the torque slider.
  const seen = row => {
    const place = Number(torque.value) / steps, i = Math.min(Math.floor(place), torques.length - 2), share = place - i;
    const exact = share === 0 ? row.cells[i] : share === 1 ? row.cells[i + 1] : null;
    if (exact) return {numbers: exact.numbers, texts: parts(exact.text)};
    const numbers = row.cells[i].numbers.map((a, k) => between(a, row.cells[i + 1].numbers[k], share));
    const texts = numbers[0] > 0 ? numbers.map(short) : ['none seen', '0', '≤ ' + short(numbers[2])];
    return {numbers, texts};
  };
  const verdict = (row, numbers) => !row.target ? 'no target' : numbers[2] <= Number(row.target) ? 'met on average' : numbers[1] > Number(row.target) ? 'not met' : 'open';

  const draw = row => {
    const w = 640, h = 200, left = 60, bottom = 24, decades = 6;
    const x = i => left + (w - left - 10) * i / (torques.length - 1);
    const y = p => 8 + (h - bottom - 8) * Math.min(1, -Math.log10(Math.max(p, 1e-6)) / decades);
    const line = k => row.cells.map((c, i) => x(i).toFixed(1) + ',' + y(c.numbers[k]).toFixed(1));
    const parts = [`<polygon fill="currentColor" opacity="0.15" points="${line(2).concat(line(1).reverse()).join(' ')}"/>`,
      `<polyline fill="none" stroke="currentColor" stroke-width="2" points="${line(0).join(' ')}"/>`];
    for (let d = 0; d <= decades; d++) parts.push(`<text x="${left - 8}" y="${y(10 ** -d) + 4}" text-anchor="end" font-size="11" fill="currentColor">${d ? '1e-' + d : '1'}</text>`);
    torques.forEach((t, i) => parts.push(`<text x="${x(i)}" y="${h - 6}" text-anchor="middle" font-size="11" fill="currentColor">${t}</text>`));
    if (row.target) parts.push(`<line x1="${left}" x2="${w - 10}" y1="${y(Number(row.target))}" y2="${y(Number(row.target))}" stroke="currentColor" stroke-dasharray="4 4"/>`);
    const now = x(Number(torque.value) / steps);
    parts.push(`<line x1="${now}" x2="${now}" y1="8" y2="${h - bottom}" stroke="currentColor"/>`);
    at('curve').innerHTML = parts.join('');
  };

  const show = () => {
    const place = Number(torque.value) / steps, i = Math.min(Math.floor(place), torques.length - 2), share = place - i;
    const digits = Math.max(...torques.map(t => (t.split('.')[1] || '').length));
    const value = Number.isInteger(place) ? torques[place] : ((1 - share) * torques[i] + share * torques[i + 1]).toFixed(digits);
    const shownTorque = value + ' ' + unit, shownLimit = limits[limit.value];
    at('torque-text').textContent = shownTorque + (Number.isInteger(place) ? '' : ', between two that were computed');
    at('limit-text').textContent = shownLimit;
    torque.setAttribute('aria-valuetext', shownTorque);
    limit.setAttribute('aria-valuetext', shownLimit);
    const chosen = rows.filter(r => !r.moved || r.moved === Number(limit.value) + 1).map(r => ({...r, ...seen(r)})).sort((a, b) => (b.moved > 0) - (a.moved > 0));
    const body = at('body');
    body.textContent = '';
    for (const r of chosen) {
      const tr = body.insertRow();
      const head = document.createElement('th');
      head.scope = 'row';
      head.textContent = r.name;
      tr.append(head);
      for (const text of [r.condition, ...r.texts, oneIn(r.numbers[0]), r.target || 'none', verdict(r, r.numbers)]) tr.insertCell().textContent = text;
    }
    const words = chosen.filter(r => r.target).map(r => verdict(r, r.numbers));
    const all = words.includes('not met') ? 'not met' : words.includes('open') ? 'open: more cards, or the number of record, would tell' : 'met on average';
    const main = chosen.filter(r => r.moved);
    at('status').textContent = `Explored at ${shownTorque} and ${shownLimit}: ${all}. ` + main.map(r => `${r.condition}: ${r.texts[0]} (${r.texts[1]} to ${r.texts[2]}), ${oneIn(r.numbers[0])}`).join('; ') + '.';
    if (main.length) draw(main[main.length - 1]);
  };
  torque.addEventListener('input', show);
  limit.addEventListener('input', show);
  at('controls').hidden = false;
  show();
})();
