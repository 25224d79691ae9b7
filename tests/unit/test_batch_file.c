/* The batch file: what varies, by lists and by ranges. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "batch/batch.h"
#include "support/near.h"

static char path[] = "/tmp/sw-test-batch-XXXXXX";

/* Load a batch whose lines of `vary` are VARY. */
static enum sw_status load(struct sw_batch **batch, const char *vary, struct sw_ctx *ctx)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file, "format: batch/1\njob: job.yaml\nvary:\n%s", vary);
    assert_int_equal(fclose(file), 0);
    return sw_batch_load(batch, path, ctx);
}

static const char *name_of(const struct sw_batch *batch, size_t i, struct sw_ctx *ctx)
{
    const char *name = NULL;
    assert_int_equal(sw_batch_name(&name, batch, i, ctx), SW_OK);
    return name;
}

static void a_range_is_the_list_of_its_steps(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_batch *list = NULL, *range = NULL;
    assert_int_equal(
        load(&list,
             "  - {sections: [upper pivot], key: diameter, values: [0.1, 0.105, 0.11, "
             "0.115, 0.12]}\n  - {sections: [total], key: length, values: [4.6, 4.5]}\n",
             &ctx),
        SW_OK);
    assert_int_equal(
        load(&range,
             "  - {sections: [upper pivot], key: diameter, from: 10 hundredths, to: 0.12, "
             "step: 0.005}\n"
             "  - {sections: [total], key: length, from: 4.6, to: 4.5, step: 0.1}\n",
             &ctx),
        SW_OK);
    assert_int_equal(sw_batch_n(list), 10);
    assert_int_equal(sw_batch_n(range), 10);
    for (size_t i = 0; i < 10; i++)
        assert_string_equal(name_of(list, i, &ctx), name_of(range, i, &ctx));
    assert_string_equal(name_of(range, 1, &ctx), "diameter-0.1000-length-4.5000");
    sw_test_ctx_free(&ctx);
}

static void a_range_of_one_value_and_a_long_one_are_ranges_too(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_batch *batch = NULL;
    assert_int_equal(
        load(&batch, "  - {sections: [a], key: length, from: 0.3, to: 0.3, step: 0.1}\n", &ctx),
        SW_OK);
    assert_int_equal(sw_batch_n(batch), 1);
    assert_int_equal(load(&batch,
                          "  - {sections: [a], key: length, from: 1, to: 10.9999, step: 0.0001}\n",
                          &ctx),
                     SW_OK);
    assert_int_equal(sw_batch_n(batch), 100000);
    assert_string_equal(name_of(batch, 99999, &ctx), "length-10.9999");
    sw_test_ctx_free(&ctx);
}

/* Each fault at its place: line 4, where the key or the number stands. */
static void a_faulty_range_is_told_at_its_place(void **state)
{
    (void)state;
    static const struct {
        const char *vary, *says;
        unsigned column;
    } row[] = {
        {"  - {sections: [a], key: length, from: 1, to: 2}\n", "the range of length is not whole",
         26},
        {"  - {sections: [a], key: length}\n", "length takes no values", 26},
        {"  - {sections: [a], key: length, from: 1, to: 2, step: 0.3}\n",
         "the range of length is no whole number of steps long", 47},
        {"  - {sections: [a], key: length, values: [1], to: 2}\n", "length has values and a range",
         51},
        {"  - {sections: [a], key: length, from: 1, to: 100, step: 0.0001}\n",
         "the range of length has more than 100000 values", 58},
        {"  - {sections: [a], key: length, from: 1, to: 2, step: 0}\n", NULL, 56},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_batch *batch = NULL;
        assert_int_equal(load(&batch, row[i].vary, &ctx), SW_INPUT);
        assert_int_equal(sw_diag_n(ctx.diag), 1);
        const struct sw_diag_record *record = sw_diag_at(ctx.diag, 0);
        if (row[i].says)
            assert_string_equal(record->message, row[i].says);
        assert_int_equal(record->at.line, 4);
        assert_int_equal(record->at.column, row[i].column);
        sw_test_ctx_free(&ctx);
    }
}

static int make_file(void **state)
{
    (void)state;
    const int fd = mkstemp(path);
    return fd < 0 ? -1 : close(fd);
}

static int remove_file(void **state)
{
    (void)state;
    return unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_range_is_the_list_of_its_steps),
        cmocka_unit_test(a_range_of_one_value_and_a_long_one_are_ranges_too),
        cmocka_unit_test(a_faulty_range_is_told_at_its_place),
    };
    return cmocka_run_group_tests(tests, make_file, remove_file);
}
