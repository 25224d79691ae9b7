/* The log of measurements: read, grown in memory, written whole or not at all. */
#include <errno.h>
#include <string.h>
#include <sys/stat.h>

#include "app/app.h"
#include "base/file.h"
#include "gauge/log.h"

/* The shop by name, as the log keeps it: its file without folder and suffix. */
static const char *shop_name(const char *path, struct sw_ctx *ctx)
{
    static const char suffix[] = ".yaml";
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    size_t n = strlen(name);
    if (n > sizeof suffix - 1 && strcmp(name + n - (sizeof suffix - 1), suffix) == 0)
        n -= sizeof suffix - 1;
    return sw_arena_copy(ctx->arena, name, n);
}

static const char *tool_name(const struct sw_setup *setup, int side, int number)
{
    const struct sw_setup_side *sides = setup->sides.at;
    const struct sw_setup_side *is = side > 0 ? &sides[side - 1] : NULL;
    const struct sw_setup_station *station = is ? is->stations.at : NULL;
    for (size_t i = 0; is && i < is->stations.n; i++)
        if ((int)station[i].station.value == number)
            return station[i].tool.value;
    return "unknown";
}

enum sw_status sw_app_log(struct sw_buf *says, const char *path, const char *measured,
                          const struct sw_app_correct *found, struct sw_ctx *ctx)
{
    const struct sw_correction *correction = &found->correction;
    const size_t n = correction->n_cuts;
    const char **tool = SW_NEW(ctx->arena, const char *, n);
    const char **section = SW_NEW(ctx->arena, const char *, n);
    const char *slash = strrchr(measured, '/');
    const char *set = sw_arena_printf(ctx->arena, "%s, %s", found->work.job->name.value,
                                      slash ? slash + 1 : measured);
    const struct sw_log_news news = {.correction = correction,
                                     .set = set,
                                     .shop = shop_name(found->work.shop_path, ctx),
                                     .tool = tool,
                                     .section = section};
    if ((n && (!tool || !section)) || !set || !news.shop)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        tool[i] = tool_name(found->work.setup, cut->side, cut->station);
        section[i] = found->work.staff->section[cut->section].name;
    }
    const char *text = "";
    size_t size = 0, n_added = 0, n_known = 0;
    struct stat is;
    if (sw_file_default_ops()->stat(path, &is) == 0)
        SW_TRY(sw_file_read(&text, &size, path, SW_FILE_MOST_INPUT, ctx));
    struct sw_buf grown = {0};
    enum sw_status status = sw_log_grown(&grown, &n_added, &n_known, path, text, size, &news, ctx);
    if (status == SW_OK && n_added)
        status = sw_file_write_buf(path, &grown, ctx);
    sw_buf_done(&grown);
    SW_TRY(status);
    sw_buf_printf(says, "%zu reading%s added to %s", n_added, n_added == 1 ? "" : "s", path);
    if (n_known)
        sw_buf_printf(says, ", %zu stood there already", n_known);
    sw_buf_add(says, "\n");
    return SW_OK;
}
