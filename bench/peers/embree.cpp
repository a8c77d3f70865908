// Asks Embree what bench asks it on standard input, one kernel a line, and answers with
// the processor time of that kernel alone, a count, and the file of its answers.
#include <embree3/rtcore.h>

#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <limits>
#include <string>
#include <vector>

struct Point { float x, y, z; };

static std::string dir;

template <class T> static void take(FILE* f, T* to, size_t n) {
  if (fread(to, sizeof(T), n, f) != n) { fprintf(stderr, "a file is too short\n"); exit(1); }
}

static FILE* open(const std::string& name) {
  FILE* f = fopen((dir + "/" + name).c_str(), "rb");
  if (!f) { perror(name.c_str()); exit(1); }
  return f;
}

static std::vector<Point> points(const std::string& name) {
  FILE* f = open(name);
  uint32_t n;
  take(f, &n, 1);
  std::vector<Point> p(n);
  take(f, p.data(), n);
  fclose(f);
  return p;
}

static double cpu() {
  timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return t.tv_sec + 1e-9 * t.tv_nsec;
}

static std::vector<Point> pos;
static std::vector<uint32_t> tri;

static Point minus(Point a, Point b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
static float dot(Point a, Point b) { return a.x * b.x + a.y * b.y + a.z * b.z; }

// Squared distance of p to a triangle: the nearest corner, edge or inside by the signs of
// the projections, so that most triangles are done after a few products.
static float distance2(Point p, Point a, Point b, Point c) {
  Point ab = minus(b, a), ac = minus(c, a), ap = minus(p, a);
  auto off = [&](float u, float v) {
    Point d{ap.x - u * ab.x - v * ac.x, ap.y - u * ab.y - v * ac.y, ap.z - u * ab.z - v * ac.z};
    return dot(d, d);
  };
  float ba = dot(ab, ap), ca = dot(ac, ap);
  if (ba <= 0 && ca <= 0) return dot(ap, ap);
  Point bp = minus(p, b);
  float bb = dot(ab, bp), cb = dot(ac, bp);
  if (bb >= 0 && cb <= bb) return dot(bp, bp);
  float c0 = ba * cb - bb * ca;
  if (c0 <= 0 && ba >= 0 && bb <= 0) return off(ba / (ba - bb), 0);
  Point cp = minus(p, c);
  float bc = dot(ab, cp), cc = dot(ac, cp);
  if (cc >= 0 && bc <= cc) return dot(cp, cp);
  float b0 = bc * ca - ba * cc;
  if (b0 <= 0 && ca >= 0 && cc <= 0) return off(0, ca / (ca - cc));
  float a0 = bb * cc - bc * cb, s = cb - bb, t = bc - cc;
  if (a0 <= 0 && s >= 0 && t >= 0) return off(1 - s / (s + t), s / (s + t));
  float all = 1 / (a0 + b0 + c0);
  return off(b0 * all, c0 * all);
}

struct Search { Point p; float best; };

static bool nearer(RTCPointQueryFunctionArguments* a) {
  Search* s = (Search*)a->userPtr;
  const uint32_t* t = &tri[3 * (size_t)a->primID];
  float d2 = distance2(s->p, pos[t[0]], pos[t[1]], pos[t[2]]);
  if (d2 >= s->best) return false;
  s->best = d2;
  a->query->radius = std::sqrt(d2);
  return true;
}

static RTCScene build(RTCDevice device) {
  RTCScene scene = rtcNewScene(device);
  rtcSetSceneBuildQuality(scene, RTC_BUILD_QUALITY_MEDIUM); // surface area heuristic
  rtcSetSceneFlags(scene, RTC_SCENE_FLAG_ROBUST);
  RTCGeometry g = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
  rtcSetSharedGeometryBuffer(g, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, pos.data(), 0, sizeof(Point), pos.size() - 1);
  rtcSetSharedGeometryBuffer(g, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, tri.data(), 0, 12, tri.size() / 3);
  rtcCommitGeometry(g);
  rtcAttachGeometry(scene, g);
  rtcReleaseGeometry(g);
  rtcCommitScene(scene);
  return scene;
}

static size_t nearest(RTCScene scene, const std::vector<Point>& q, std::vector<double>& out) {
  out.resize(q.size());
  for (size_t i = 0; i < q.size(); i++) {
    Search s{q[i], std::numeric_limits<float>::infinity()};
    RTCPointQuery p{};
    p.x = q[i].x; p.y = q[i].y; p.z = q[i].z;
    p.radius = s.best;
    RTCPointQueryContext context;
    rtcInitPointQueryContext(&context);
    rtcPointQuery(scene, &p, &context, nearer, &s);
    out[i] = std::sqrt(s.best);
  }
  return q.size();
}

// Rays by eights, Embree's fastest way.
static size_t cast(RTCScene scene, const std::vector<Point>& r, bool coherent, std::vector<double>& out) {
  size_t n = r.size() / 2, hits = 0;
  out.resize(n);
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  if (coherent) context.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
  for (size_t i = 0; i < n; i += 8) {
    alignas(32) int valid[8];
    alignas(64) RTCRayHit8 h{};
    for (size_t k = 0; k < 8; k++) {
      valid[k] = i + k < n ? -1 : 0;
      size_t j = std::min(i + k, n - 1);
      h.ray.org_x[k] = r[2 * j].x; h.ray.org_y[k] = r[2 * j].y; h.ray.org_z[k] = r[2 * j].z;
      h.ray.dir_x[k] = r[2 * j + 1].x; h.ray.dir_y[k] = r[2 * j + 1].y; h.ray.dir_z[k] = r[2 * j + 1].z;
      h.ray.tfar[k] = std::numeric_limits<float>::infinity();
      h.ray.mask[k] = ~0u;
      h.hit.geomID[k] = h.hit.instID[0][k] = RTC_INVALID_GEOMETRY_ID;
    }
    rtcIntersect8(valid, scene, &context, &h);
    for (size_t k = 0; k < 8 && i + k < n; k++) {
      bool hit = h.hit.geomID[k] != RTC_INVALID_GEOMETRY_ID;
      out[i + k] = hit ? h.ray.tfar[k] : std::numeric_limits<double>::infinity();
      hits += hit;
    }
  }
  return hits;
}

int main(int, char** argv) {
  dir = argv[1];
  FILE* f = open("mesh.raw");
  uint32_t n[2];
  take(f, n, 2);
  pos.resize(n[0] + 1); // Embree reads four floats of the last point
  tri.resize(3 * (size_t)n[1]);
  take(f, pos.data(), n[0]);
  take(f, tri.data(), tri.size());
  fclose(f);
  RTCDevice device = rtcNewDevice("threads=1");
  long v = rtcGetDeviceProperty(device, RTC_DEVICE_PROPERTY_VERSION);
  printf("Embree %ld.%ld.%ld\n", v / 10000, v / 100 % 100, v % 100);
  fflush(stdout);
  RTCScene scene = build(device);
  std::vector<Point> near = points("near.raw"), shuffled = points("shuffled.raw"), parallel = points("parallel.raw"), anyhow = points("anyhow.raw");
  for (std::string kernel; std::getline(std::cin, kernel);) {
    std::vector<double> out;
    size_t count = 0;
    double start = cpu();
    if (kernel == "index") {
      RTCScene s = build(device);
      rtcReleaseScene(s);
      count = n[1];
    } else if (kernel == "near") count = nearest(scene, near, out);
    else if (kernel == "shuffled") count = nearest(scene, shuffled, out);
    else if (kernel == "parallel") count = cast(scene, parallel, true, out);
    else if (kernel == "anyhow") count = cast(scene, anyhow, false, out);
    else return 2;
    double took = cpu() - start;
    if (!out.empty()) {
      FILE* o = fopen((dir + "/answers").c_str(), "wb");
      fwrite(out.data(), 8, out.size(), o);
      fclose(o);
    }
    printf("%.9f %zu %zu\n", took, count, out.size());
    fflush(stdout);
  }
}
