// Reads the tables beside it, so that a computed torque or contact factor shows what the
// table has. Between two of them value and bounds are interpolated, each on a logarithmic
// scale. Factors were computed at the study's torque: moving one slider puts the other back.
(() => {
  const box = document.getElementById('explore');
  const steps = Number(box.dataset.steps), unit = box.dataset.unit;
  const at = id => document.getElementById('explore-' + id);
  const torque = at('torque'), limit = at('limit'), factor = at('factor');
  const torques = box.dataset.torques.split('|'), limits = box.dataset.limits.split('|'), factors = box.dataset.factors.split('|');
  const own = torque.value;
  // What the clamp's maker allows; empty where nobody says.
  const {least, most} = box.dataset;
  const outside = setting => least && setting < Number(least) || most && setting > Number(most);
  // "7.2e-4 (6.5e-4 … 8.6e-4)", or "≤ 1.2e-4" where none was seen.
  const cell = text => {
    const m = text.match(/^(\S+) \((\S+) … (\S+)\)$/), texts = m ? m.slice(1) : ['none seen', '0', text];
    return {texts, numbers: m ? texts.map(Number) : [0, 0, Number(text.slice(2))]};
  };
  const cells = tr => tr ? [...tr.cells].slice(1).map(td => cell(td.textContent)) : [];
  const byFactor = [...box.querySelectorAll('tr[data-factors]')];
  const rows = [...box.querySelectorAll('tr[data-label]')].map((tr, i) => ({
    label: tr.dataset.label, name: tr.cells[0].textContent, condition: tr.dataset.condition, target: tr.dataset.target, moved: Number(tr.dataset.moved),
    torques: cells(tr), factors: cells(byFactor[i]),
  }));
  // The slider that was moved off the study: its places, and where it stands among them.
  const known = () => factor !== null && Number(factor.value) > 0;
  const moved = () => known() ? {of: 'factors', ticks: factors, place: (Number(factor.value) - 1) / steps} : {of: 'torques', ticks: torques, place: Number(torque.value) / steps};

  const between = (a, b, share) => a > 0 && b > 0 ? Math.exp((1 - share) * Math.log(a) + share * Math.log(b)) : (1 - share) * a + share * b;
  const short = p => p === 0 ? '0' : p >= 0.01 ? String(Number(p.toPrecision(2))) : p.toExponential(1);
  const oneIn = p => p > 0 ? '1 in ' + Number((1 / p).toPrecision(2)).toLocaleString('en', {useGrouping: false}) : 'none seen';

  // What a row says at the place of the slider that was moved.
  const seen = row => {
    const {of, ticks, place} = moved(), i = Math.min(Math.floor(place), ticks.length - 2), share = place - i;
    const exact = share === 0 ? row[of][i] : share === 1 ? row[of][i + 1] : null;
    if (exact) return exact;
    const numbers = row[of][i].numbers.map((a, k) => between(a, row[of][i + 1].numbers[k], share));
    const texts = numbers[0] > 0 ? numbers.map(short) : ['none seen', '0', '≤ ' + short(numbers[2])];
    return {numbers, texts};
  };
  const beside = (row, numbers) => !row.target ? 'no target' : numbers[2] <= Number(row.target) ? 'below the target' : numbers[1] > Number(row.target) ? 'above the target' : 'open';

  const draw = row => {
    const w = Math.max(300, Math.min(640, at('curve').clientWidth)), h = 200, left = 60, bottom = 24, decades = 6, {of, ticks, place} = moved();
    const x = i => left + (w - left - 10) * i / (ticks.length - 1);
    const y = p => 8 + (h - bottom - 8) * Math.min(1, -Math.log10(Math.max(p, 1e-6)) / decades);
    const line = k => row[of].map((c, i) => x(i).toFixed(1) + ',' + y(c.numbers[k]).toFixed(1));
    const parts = [`<polygon fill="currentColor" opacity="0.15" points="${line(2).concat(line(1).reverse()).join(' ')}"/>`,
      `<polyline fill="none" stroke="currentColor" stroke-width="2" points="${line(0).join(' ')}"/>`];
    for (let d = 0; d <= decades; d++) parts.push(`<text x="${left - 8}" y="${y(10 ** -d) + 4}" text-anchor="end" font-size="11" fill="currentColor">${d ? '1e-' + d : '1'}</text>`);
    const apart = Math.ceil(40 * ticks.length / (w - left)); // labels need some room
    ticks.forEach((t, i) => i % apart || parts.push(`<text x="${x(i)}" y="${h - 6}" text-anchor="middle" font-size="11" fill="currentColor">${t}</text>`));
    if (row.target) parts.push(`<line x1="${left}" x2="${w - 10}" y1="${y(Number(row.target))}" y2="${y(Number(row.target))}" stroke="currentColor" stroke-dasharray="4 4"/>`);
    const now = x(place);
    parts.push(`<line x1="${now}" x2="${now}" y1="8" y2="${h - bottom}" stroke="currentColor"/>`);
    at('curve').setAttribute('viewBox', `0 0 ${w} ${h}`);
    at('curve').innerHTML = parts.join('');
  };

  const exact = (ticks, place) => {
    const i = Math.min(Math.floor(place), ticks.length - 2);
    return (1 - (place - i)) * ticks[i] + (place - i) * ticks[i + 1];
  };
  // A setting with the digits of those that were computed, one more between two of factors.
  const textAt = (ticks, place, more) => {
    if (Number.isInteger(place)) return ticks[place];
    return exact(ticks, place).toFixed(more + Math.max(...ticks.map(t => (t.split('.')[1] || '').length)));
  };

  const show = () => {
    const shownTorque = textAt(torques, Number(torque.value) / steps, 0) + ' ' + unit, shownLimit = limits[limit.value];
    const between = Number.isInteger(moved().place) ? '' : ', between two that were computed';
    at('torque-text').textContent = shownTorque + (known() ? '' : between);
    at('limit-text').textContent = shownLimit;
    torque.setAttribute('aria-valuetext', shownTorque);
    limit.setAttribute('aria-valuetext', shownLimit);
    let shownFactor = 'as in the study, averaged over';
    if (known()) shownFactor = textAt(factors, moved().place, 1) + ', taken as known';
    if (factor !== null) {
      at('factor-text').textContent = shownFactor + (known() ? between : '');
      factor.setAttribute('aria-valuetext', shownFactor);
    }
    const chosen = rows.filter(r => !r.moved || r.moved === Number(limit.value) + 1).map(r => ({...r, ...seen(r)})).sort((a, b) => (b.moved > 0) - (a.moved > 0));
    const body = at('body');
    body.textContent = '';
    for (const r of chosen) {
      const tr = body.insertRow();
      const head = document.createElement('th');
      head.scope = 'row';
      head.textContent = r.name;
      tr.append(head);
      for (const text of [r.condition, ...r.texts, oneIn(r.numbers[0]), r.target || 'none', beside(r, r.numbers)]) tr.insertCell().textContent = text;
    }
    const words = chosen.filter(r => r.target).map(r => beside(r, r.numbers));
    const all = words.includes('above the target') ? 'a target is missed' : words.includes('open') ? 'open: more cards, or the number of record, would tell' :
      'every probability is below its target' + (known() ? '' : ', averaged over what is not known: no verdict');
    const said = outside(exact(torques, Number(torque.value) / steps)) ? 'not allowed by the clamp maker, with the tool\u2019s scatter; by the targets alone ' + all : all;
    const main = chosen.filter(r => r.moved);
    at('status').textContent = `Explored at ${shownTorque} and ${shownLimit}${known() ? ', contact factor ' + shownFactor : ''}: ${said}. ` + main.map(r => `${r.condition}: ${r.texts[0]} (${r.texts[1]} to ${r.texts[2]}), ${oneIn(r.numbers[0])}`).join('; ') + '.';
    if (main.length) draw(main[main.length - 1]);
  };
  torque.addEventListener('input', () => {
    if (factor !== null) factor.value = 0;
    show();
  });
  if (factor !== null) factor.addEventListener('input', () => {
    if (known()) torque.value = own;
    show();
  });
  limit.addEventListener('input', show);
  addEventListener('resize', show);
  at('controls').hidden = false;
  show();
})();
