#include "bench/polyclipping.h"

#include <cmath>
#include <polyclipping/clipper.hpp>

namespace
{
const double scale = 1e7;

ClipperLib::IntPoint whole(double z, double r)
{
    return ClipperLib::IntPoint(std::llround(z * scale), std::llround(r * scale));
}

const ClipperLib::Paths &paths(const void *left)
{
    return *static_cast<const ClipperLib::Paths *>(left);
}
} // namespace

void *sw_polyclipping_begin(struct sw_box rod)
{
    ClipperLib::Path path;
    path.push_back(whole(rod.z0, rod.r0));
    path.push_back(whole(rod.z1, rod.r0));
    path.push_back(whole(rod.z1, rod.r1));
    path.push_back(whole(rod.z0, rod.r1));
    return new ClipperLib::Paths(1, path);
}

void sw_polyclipping_cut(void *left, const struct sw_pt *points, size_t n)
{
    ClipperLib::Path tool;
    for (size_t i = 0; i < n; i++)
        tool.push_back(whole(points[i].z, points[i].r));
    ClipperLib::Clipper clipper;
    ClipperLib::Paths solution;
    clipper.AddPaths(paths(left), ClipperLib::ptSubject, true);
    clipper.AddPath(tool, ClipperLib::ptClip, true);
    clipper.Execute(ClipperLib::ctDifference, solution);
    static_cast<ClipperLib::Paths *>(left)->swap(solution);
}

double sw_polyclipping_area(const void *left)
{
    double area = 0;
    for (const ClipperLib::Path &path : paths(left))
        area += ClipperLib::Area(path);
    return area / (scale * scale);
}

size_t sw_polyclipping_n(const void *left)
{
    size_t n = 0;
    for (const ClipperLib::Path &path : paths(left))
        n += path.size();
    return n;
}

void sw_polyclipping_end(void *left)
{
    delete static_cast<ClipperLib::Paths *>(left);
}
