/* Which events of a path go into which file, and what the file may be called. */
#include "post/inside.h"

#include <string.h>

int sw_post_first_station(const struct sw_path *path, size_t from)
{
    for (size_t i = from; i < path->n; i++)
        if (path->at[i].kind == SW_PATH_TOOL)
            return path->at[i].station;
    return 0;
}

size_t sw_post_end_of_file(const struct sw_path *path, size_t first)
{
    const int station = sw_post_first_station(path, first);
    for (size_t i = first; i < path->n; i++) {
        if (path->at[i].kind != SW_PATH_TOOL || path->at[i].station == station)
            continue;
        while (i > first &&
               (path->at[i - 1].kind == SW_PATH_COMMENT || path->at[i - 1].kind == SW_PATH_SECTION))
            i--;
        return i;
    }
    return path->n;
}

bool sw_post_is_taken(const struct sw_post_programs *out, size_t before, const char *name)
{
    for (size_t i = before; i < out->n; i++)
        if (strcmp(out->at[i].file, name) == 0)
            return true;
    return false;
}
