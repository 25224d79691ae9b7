/* bench_read: the reader beside fgets, the least anybody does with a text of lines.
 *
 * A program as posts write them: straight blocks of two words with four decimals, some with a feed,
 * a rapid or an arc. Lines with parameters and expressions are a second text, since they do other
 * work. Prints "name: value unit"; medians of RUNS in this one run. fgets reads the same bytes from
 * a file the system holds in memory, and counts its lines.
 *
 * usage: bench_read [RUNS]
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/buf.h"
#include "ncread/ncread.h"
#include "support/near.h"

enum { N_BLOCKS = 200000, MOST_RUNS = 31, LINE = 256 };

static void must(bool is_so, const char *what)
{
    if (!is_so) {
        fprintf(stderr, "%s\n", what);
        exit(70);
    }
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* A pivot and its cone run over again and again, with places that repeat only after long. */
static void plain_blocks(struct sw_buf *text)
{
    sw_buf_add(text, "G21 G90 G94 G18\nM3 S6000\nG0 X2.5 Z1\nG1 X2 F20\n");
    for (int i = 0; i < N_BLOCKS; i++) {
        const double x = 0.055 + 0.0001 * (i % 9973), z = -0.0001 * (i % 39989);
        if (i % 50 == 0)
            sw_buf_printf(text, "G0 X%.4f Z%.4f\n", x + 1, z);
        else if (i % 50 == 1)
            sw_buf_printf(text, "G1 X%.4f Z%.4f F%d\n", x, z, 10 + i % 7);
        else if (i % 50 == 25)
            sw_buf_printf(text, "G3 X%.4f Z%.4f R9.5\nG1 X%.4f\n", x + 0.3, z - 0.2, x);
        else
            sw_buf_printf(text, "X%.4f Z%.4f\n", x, z);
    }
    sw_buf_add(text, "M5\nM2\n");
}

static void expression_blocks(struct sw_buf *text)
{
    sw_buf_add(text, "G21 G90 G94 G18\nM3 S6000\nG0 X2.5 Z1\nG1 X2 F20\n#1=0.055\n");
    for (int i = 0; i < N_BLOCKS; i++)
        sw_buf_printf(text, "X[#1 + %.4f] Z[-2 * [#1 + %.4f]]\n", 0.0001 * (i % 9973),
                      0.0001 * (i % 9967));
    sw_buf_add(text, "M5\nM2\n");
}

static struct sw_control standard(void)
{
    const struct sw_choice open = {.value = -1};
    return (struct sw_control){.x = open,
                               .i = open,
                               .units = open,
                               .feed_words = open,
                               .feed_per_turn = open,
                               .surface_speed = open,
                               .speed_clamp = open,
                               .dwell = open,
                               .tool_offsets = open,
                               .arcs = open,
                               .spindle_words = open,
                               .tool_words = open,
                               .incremental_u_w = open,
                               .threading = open,
                               .comments = open,
                               .parameters = open};
}

static double time_reader(const struct sw_buf *text, size_t *n_blocks)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_control control = standard();
    const struct sw_ncread_start start = {.n_tools = 1};
    struct sw_motion motion;
    const double begin = seconds();
    const enum sw_status status =
        sw_ncread_text(&motion, "bench.nc", text->at, text->n, &control, &start, &ctx);
    const double took = seconds() - begin;
    if (status != SW_OK)
        fprintf(stderr, "%s", sw_test_diagnostics(&ctx));
    must(status == SW_OK, "the program was not read");
    *n_blocks = motion.n_blocks;
    sw_test_ctx_free(&ctx);
    return took;
}

static double time_fgets(const struct sw_buf *text, size_t *n_lines)
{
    char line[LINE];
    FILE *file = tmpfile();
    must(file != NULL && fwrite(text->at, 1, text->n, file) == text->n && fflush(file) == 0,
         "no temporary file");
    rewind(file);
    const double begin = seconds();
    *n_lines = 0;
    while (fgets(line, sizeof line, file) != NULL)
        ++*n_lines;
    const double took = seconds() - begin;
    fclose(file);
    return took;
}

static int by_size(const void *left, const void *right)
{
    const double a = *(const double *)left, b = *(const double *)right;
    return a < b ? -1 : a > b;
}

static double median(double *x, size_t n)
{
    qsort(x, n, sizeof *x, by_size);
    return x[n / 2];
}

int main(int argc, char **argv)
{
    const long asked = argc > 1 ? strtol(argv[1], NULL, 10) : 7;
    const size_t runs = asked < 1 ? 1 : asked > MOST_RUNS ? MOST_RUNS : (size_t)asked;
    struct sw_buf plain = {0}, expressions = {0};
    plain_blocks(&plain);
    expression_blocks(&expressions);
    must(!plain.failed && !expressions.failed, "no memory");
    double read[MOST_RUNS], asks[MOST_RUNS], lines[MOST_RUNS];
    size_t n_blocks = 0, n_asking = 0, n_lines = 0;
    for (size_t i = 0; i < runs; i++) {
        read[i] = time_reader(&plain, &n_blocks);
        lines[i] = time_fgets(&plain, &n_lines);
        asks[i] = time_reader(&expressions, &n_asking);
    }
    const double a_block = median(read, runs) / (double)n_blocks;
    const double a_line = median(lines, runs) / (double)n_lines;
    printf("read.blocks_per_s: %.2f million\n", 1e-6 / a_block);
    printf("read.times_fgets: %.1f times\n", a_block / a_line);
    printf("read.expression_blocks_per_s: %.2f million\n",
           1e-6 * (double)n_asking / median(asks, runs));
    sw_buf_done(&plain);
    sw_buf_done(&expressions);
    return 0;
}
