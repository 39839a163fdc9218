// Crossings of a general layered graph layout with ports (elkjs, EPL-2.0; install
// it beside this file with `npm install`) for the circuits that
// `FOILSIDE_STUDY=set FOILSIDE_DUMP=FILE go test ./internal/schematic -run MeasuredSet`
// writes, beside our own. Supplies and common are left out of its graph, as we
// draw them as marks and rails; parts of two leads may turn their leads freely.
import { readFileSync } from 'node:fs'
import ELK from 'elkjs'

const elk = new ELK()
const circuits = JSON.parse(readFileSync(process.argv[2], 'utf8'))

function graph(c) {
  const children = c.parts.map((p) => ({
    id: p.ref, width: p.w, height: p.h,
    layoutOptions: { 'elk.portConstraints': p.leads.length > 2 ? 'FIXED_POS' : 'FREE' },
    ports: p.leads.map((l) => ({ id: `${p.ref}.${l.lead}`, x: l.x, y: l.y, width: 0, height: 0, layoutOptions: { 'elk.port.side': l.side } })),
  }))
  const edges = []
  for (const [net, leads] of Object.entries(c.nets)) {
    leads.slice(1).forEach((l, i) => edges.push({ id: `${net}#${i}`, net, sources: [leads[0]], targets: [l] }))
  }
  return { id: 'root', children, edges,
    layoutOptions: { 'elk.algorithm': 'layered', 'elk.direction': 'RIGHT', 'elk.edgeRouting': 'ORTHOGONAL', 'elk.layered.mergeEdges': 'true', 'elk.layered.thoroughness': '20' } }
}

// crossings counts where a horizontal and a vertical piece of different nets
// meet, each place once for a pair of nets.
function crossings(g) {
  const flat = [], tall = []
  for (const e of g.edges) {
    const net = e.id.slice(0, e.id.lastIndexOf('#'))
    for (const s of e.sections ?? []) {
      const pts = [s.startPoint, ...(s.bendPoints ?? []), s.endPoint]
      for (let i = 1; i < pts.length; i++) {
        const [a, b] = [pts[i - 1], pts[i]]
        if (Math.abs(a.y - b.y) < 1e-6) flat.push({ net, y: a.y, lo: Math.min(a.x, b.x), hi: Math.max(a.x, b.x) })
        else tall.push({ net, x: a.x, lo: Math.min(a.y, b.y), hi: Math.max(a.y, b.y) })
      }
    }
  }
  const seen = new Set()
  for (const h of flat) for (const v of tall) {
    if (h.net !== v.net && h.lo < v.x && v.x < h.hi && v.lo < h.y && h.y < v.hi) seen.add([h.net, v.net].sort().join() + `@${v.x.toFixed(1)},${h.y.toFixed(1)}`)
  }
  return seen.size
}

let sum = { ours: 0, theirs: 0 }
const worse = []
for (const c of circuits.filter((c) => c.parts.length > 14)) {
  const theirs = crossings(await elk.layout(graph(c)))
  sum.ours += c.crossings
  sum.theirs += theirs
  if (c.crossings > 0.6 * theirs) worse.push(`${c.name}: ours ${c.crossings}, layered ${theirs}`)
}
console.log(`above 14 parts: ours ${sum.ours} crossings, layered layout ${sum.theirs}: ${(sum.ours / sum.theirs).toFixed(3)} of it`)
for (const w of worse) console.log('  more than 0.6 of it: ' + w)
