const space = 'http://www.w3.org/2000/svg';

/** The groups of a drawing's parts, by reference. */
export function partsOf(svg: SVGSVGElement): Map<string, SVGGElement> {
  const out = new Map<string, SVGGElement>();
  for (const g of svg.querySelectorAll<SVGGElement>('g.part')) {
    const ref = g.getAttribute('data-ref');
    if (ref) out.set(ref, g);
  }
  return out;
}

/** The box of a part's symbol: left, top, width, height. */
export function boxOf(part: Element): [number, number, number, number] {
  const [x = 0, y = 0, w = 0, h = 0] = (part.getAttribute('data-box') ?? '').split(' ').map(Number);
  return [x, y, w, h];
}

/** Makes every part something that a pointer or a key can take hold of. */
export function makeGrips(svg: SVGSVGElement): void {
  for (const [ref, g] of partsOf(svg)) {
    const [x, y, w, h] = boxOf(g);
    const grip = document.createElementNS(space, 'rect');
    const room = 4;
    for (const [k, v] of Object.entries({
      x: x - room,
      y: y - room,
      width: w + 2 * room,
      height: h + 2 * room,
    }))
      grip.setAttribute(k, String(v));
    grip.setAttribute('class', 'grip');
    g.append(grip);
    const pinned = g.getAttribute('data-pinned') ? ', pinned' : '';
    g.setAttribute('data-label', `${ref}, ${g.getAttribute('data-kind') ?? 'part'}${pinned}`);
  }
}

/** Shows which parts are held and how far they are carried, in user units. */
export function showHeld(
  svg: SVGSVGElement,
  on: boolean,
  held: readonly string[],
  carried: readonly [number, number],
): void {
  svg.classList.toggle('arranging', on);
  svg.setAttribute('role', on ? 'group' : 'img'); // what is in a picture can't be reached by keys
  for (const [ref, g] of partsOf(svg)) {
    const mine = on && held.includes(ref);
    g.classList.toggle('held', mine);
    // A label without a role is none: the parts of a picture have neither.
    const label = g.getAttribute('data-label') ?? ref;
    const button = { role: 'button', tabindex: '0', 'aria-pressed': String(mine), 'aria-label': label };
    for (const [k, v] of Object.entries(button)) {
      if (on) g.setAttribute(k, v);
      else g.removeAttribute(k);
    }
    const still = !mine || (carried[0] === 0 && carried[1] === 0);
    if (still) g.removeAttribute('transform');
    else g.setAttribute('transform', `translate(${carried[0]} ${carried[1]})`);
  }
}
