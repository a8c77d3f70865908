// Answers questions about one STL file with general-purpose libraries, so that
// Selvage's own answers can be held against them. Reads one JSON request from
// standard input, writes one JSON answer to standard output.
//
//   three               reads the file and joins equal corners
//   three-mesh-bvh      nearest point and rays
//   simplicial-complex  connected pieces, and with its -boundary part the open edges
import fs from 'node:fs'
import { createRequire } from 'node:module'
import { DoubleSide, Ray, Vector3 } from 'three'
import { STLLoader } from 'three/examples/jsm/loaders/STLLoader.js'
import { mergeVertices } from 'three/examples/jsm/utils/BufferGeometryUtils.js'
import { MeshBVH, SAH } from 'three-mesh-bvh'

const require = createRequire(import.meta.url)
const { connectedComponents } = require('simplicial-complex')
const boundaryOf = require('simplicial-complex-boundary')
const request = JSON.parse(fs.readFileSync(0, 'utf8'))

const bytes = fs.readFileSync(request.file)
const loaded = new STLLoader().parse(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength))
loaded.deleteAttribute('normal')
const geometry = mergeVertices(loaded, 1e-7)
const index = geometry.index.array

const cells = []
for (let i = 0; i < index.length; i += 3) cells.push([index[i], index[i + 1], index[i + 2]])

// The tree reorders the index, so the cells are taken before it is built.
const tree = new MeshBVH(geometry, { strategy: SAH })

const nearest = request.points.map(p => tree.closestPointToPoint(new Vector3(...p)).distance)
const rays = request.rays.map(([origin, direction]) => {
  const hit = tree.raycastFirst(new Ray(new Vector3(...origin), new Vector3(...direction)), DoubleSide)
  return hit ? hit.distance : -1
})

process.stdout.write(JSON.stringify({
  vertices: geometry.getAttribute('position').count,
  faces: cells.length,
  boundary: boundaryOf(cells).length,
  components: connectedComponents(cells, geometry.getAttribute('position').count).length,
  nearest,
  rays,
}))
