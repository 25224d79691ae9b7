/* Any bytes as YAML: a tree within its limits, every node at a place of the text, keys once. */
#include <string.h>

#include "fuzz.h"
#include "spec/node.h"

static void check(const struct sw_node *node, int depth, size_t *n, const struct sw_ctx *ctx)
{
    sw_demand(ctx, depth <= SW_SPEC_MOST_DEPTH);
    sw_demand(ctx, ++*n <= SW_SPEC_MOST_NODES);
    sw_demand(ctx, node->at.source > 0 && node->at.line > 0 && node->at.column > 0);
    sw_demand(ctx, (node->kind == SW_NODE_SCALAR) == (node->text != NULL));
    size_t n_children = 0;
    for (const struct sw_node *child = node->first; child; child = child->next, n_children++) {
        sw_demand(ctx, (node->kind == SW_NODE_MAP) == (child->key != NULL));
        sw_demand(ctx, !child->key || sw_node_get(node, child->key) == child);
        check(child, depth + 1, n, ctx);
    }
    sw_demand(ctx, n_children == node->n);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct sw_ctx ctx = sw_fuzz_begin();
    struct sw_node *root = NULL;
    const enum sw_status status = sw_node_parse(&root, "x.yaml", (const char *)data, size, &ctx);
    sw_demand(&ctx, status == SW_OK || status == SW_INPUT);
    size_t n = 0;
    if (status == SW_OK)
        check(root, 1, &n, &ctx);
    sw_fuzz_end(&ctx, status == SW_OK ? sw_node_check_format(root, "staff/1", &ctx) : status);
    return 0;
}
