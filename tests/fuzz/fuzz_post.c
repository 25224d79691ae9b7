/* Any bytes as a dialect: refused with a reason, or it writes the paths below, or says why not.
 * What it writes is text: no end is missing, no line is empty of sense to its own reader. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fuzz.h"
#include "ncread/ncread.h"
#include "post/post.h"

static char folder[] = "/tmp/sw-fuzz-XXXXXX";
static char file[sizeof folder + 16];
static char beside[sizeof folder + 16]; /* no file: dialects are looked for beside it */

static void remove_file(void)
{
    unlink(file);
    rmdir(folder);
}

static void put(const uint8_t *data, size_t size)
{
    if (!file[0]) {
        if (!mkdtemp(folder))
            abort();
        snprintf(file, sizeof file, "%s/post.yaml", folder);
        snprintf(beside, sizeof beside, "%s/job.yaml", folder);
        atexit(remove_file);
    }
    FILE *to = fopen(file, "wb");
    if (!to || fwrite(data, 1, size, to) != size || fclose(to) != 0)
        abort();
}

/* A path with every event; with WITH_CORRECTIONS also those a dialect may lack. */
static struct sw_path make_path(bool with_corrections)
{
    static const char *const head[] = {"Fenmoor 43, (first) side \xC3\x98"};
    static const struct sw_path_correction correction[] = {{"upper pivot, on radius"}};
    static struct sw_path_event corrected[] = {
        {.kind = SW_PATH_SECTION, .text = "Rough the pivot"},
        {.kind = SW_PATH_TOOL, .station = 1, .text = "point"},
        {.kind = SW_PATH_SPINDLE, .speed = 6000},
        {.kind = SW_PATH_RAPID, .to = {0.2, 0.0625}},
        {.kind = SW_PATH_CORRECT, .correction = 1, .is_on = true},
        {.kind = SW_PATH_LINE, .to = {-0.26, 0.0625}, .feed = 0.004},
        {.kind = SW_PATH_CORRECT, .correction = 1},
        {.kind = SW_PATH_STOP},
        {.kind = SW_PATH_END},
    };
    static struct sw_path_event plain[] = {
        {.kind = SW_PATH_COMMENT, .text = "a note"},
        {.kind = SW_PATH_SECTION, .text = "Rough the pivot"},
        {.kind = SW_PATH_TOOL, .station = 1, .text = "point, nose 0.05"},
        {.kind = SW_PATH_SPINDLE, .speed = 6000},
        {.kind = SW_PATH_RAPID, .to = {0.2, 0.06}},
        {.kind = SW_PATH_LINE, .to = {-0.26, 0.06}, .feed = 0.004},
        {.kind = SW_PATH_ARC,
         .to = {-0.56, 0.36},
         .centre = {-0.26, 0.36},
         .turn = -1,
         .feed = 0.002},
        {.kind = SW_PATH_DWELL, .seconds = 0.25},
        {.kind = SW_PATH_RAPID, .to = {1, 2}},
        {.kind = SW_PATH_STOP},
        {.kind = SW_PATH_PAUSE, .text = "Measure the pivot (0.11)"},
        {.kind = SW_PATH_SECTION, .text = "Part"},
        {.kind = SW_PATH_TOOL, .station = 2, .text = "blade"},
        {.kind = SW_PATH_SPINDLE, .speed = 1500, .is_ccw = true},
        {.kind = SW_PATH_RAPID, .to = {-4, 1.2}},
        {.kind = SW_PATH_LINE, .to = {-4, 0.3}, .feed = 0.005},
        {.kind = SW_PATH_RAPID, .to = {1, 2}},
        {.kind = SW_PATH_STOP},
        {.kind = SW_PATH_END},
    };
    return (struct sw_path){.at = with_corrections ? corrected : plain,
                            .n = with_corrections ? sizeof corrected / sizeof *corrected
                                                  : sizeof plain / sizeof *plain,
                            .stem = "side-1",
                            .head = head,
                            .n_head = 1,
                            .correction = correction,
                            .n_corrections = with_corrections,
                            .park = {5, 5}};
}

static struct sw_machine make_machine(bool is_for_turning)
{
    struct sw_machine machine = {.name = {.value = "lathe"}};
    machine.spindle.most_speed.value = 8000;
    machine.spindle.start_time.value = 2;
    struct sw_control *control = &machine.control;
    control->arcs.value = control->spindle_words.value = control->tool_words.value = 1;
    control->comments.value = control->parameters.value = 1;
    control->line_length.value = 256;
    control->decimals.value = 9;
    if (is_for_turning) {
        control->x.value = SW_X_DIAMETER;
        control->feed_per_turn.value = control->surface_speed.value = 1;
        control->speed_clamp.value = SW_CLAMP_G50;
        control->tool_offsets.value = SW_OFFSET_WITH_TOOL;
    }
    return machine;
}

/* What the control does with the text: whatever it is, the reader has a word for it. */
static void read_back(const struct sw_post_program *program, const struct sw_machine *machine)
{
    static struct sw_ncread_start start; /* all zeroes */
    struct sw_ctx aside = sw_fuzz_begin();
    struct sw_motion motion = {0};
    sw_demand(&aside, strlen(program->text) == program->size);
    sw_fuzz_end(&aside, sw_ncread_text(&motion, program->file, program->text, program->size,
                                       &machine->control, &start, &aside));
}

static void write_with(const struct sw_post *post, bool with_corrections, bool is_for_turning)
{
    const struct sw_machine machine = make_machine(is_for_turning);
    const struct sw_path path = make_path(with_corrections);
    struct sw_ctx aside = sw_fuzz_begin();
    enum sw_status status = sw_post_check(post, &machine, &aside);
    sw_demand(&aside, status == SW_OK || status == SW_INPUT);
    if (status == SW_OK && (!with_corrections || sw_post_has_corrections(post))) {
        struct sw_post_programs programs = {0};
        status = sw_post_write(&programs, post, &path, &machine, &aside);
        sw_demand(&aside, status == SW_OK || status == SW_CANNOT);
        sw_demand(&aside, (status == SW_OK) == (programs.n > 0));
        for (size_t i = 0; i < programs.n; i++)
            read_back(&programs.at[i], &machine);
    }
    sw_fuzz_end(&aside, status);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    put(data, size);
    struct sw_ctx ctx = sw_fuzz_begin();
    const struct sw_post *post = NULL;
    const enum sw_status status =
        sw_post_load(&post, "post.yaml", beside, &sw_fuzz_search, (struct sw_span){0}, &ctx);
    if (status == SW_OK) {
        write_with(post, false, false);
        write_with(post, true, false);
        write_with(post, false, true);
        write_with(post, true, true);
    }
    sw_fuzz_end(&ctx, status);
    return 0;
}
