/* paths: where profiles are looked for, and paths as seen from another folder.
 *
 * Everything lives in the context. Nothing here reads the environment.
 */
#ifndef SW_APP_PATHS_H
#define SW_APP_PATHS_H

#include "base/ctx.h"
#include "shop/shop.h"

/** Find the profile roots. GIVEN (NULL: none) comes first; then the folder beside the program
 *  (DIR/../profiles in a build tree, DIR/../share/staffwright/profiles once installed), or
 *  DATA_DIR/profiles. SW_UNREADABLE when GIVEN is no folder. */
enum sw_status sw_app_find_roots(struct sw_search *out, const char *given, const char *data_dir,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** PATH as seen from FOLDER; both may be relative to the working folder and need not exist. */
enum sw_status sw_app_relative(const char **out, const char *path, const char *folder,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** The part of PATH below the folder that holds a profile root ("profiles/tools/x.yaml",
 *  "postprocessors/y.yaml"), or NULL when it is under none. */
enum sw_status sw_app_profile_part(const char **out, const char *path,
                                   const struct sw_search *search,
                                   struct sw_ctx *ctx) SW_MUST_CHECK;

struct sw_app_names {
    const char **at;
    size_t n;
    size_t cap;
};

/** The files of a folder that end in .yaml, without that, by the alphabet; a folder that is not
 *  there holds none. */
enum sw_status sw_app_read_folder(struct sw_app_names *to, const char *folder,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** Bring names into the order of the alphabet. */
void sw_app_sort_names(struct sw_app_names *names);

/** The folders of a folder that hold a file HOLDING, by the alphabet. */
enum sw_status sw_app_read_subfolders(struct sw_app_names *to, const char *folder,
                                      const char *holding, struct sw_ctx *ctx) SW_MUST_CHECK;

bool sw_app_is_folder(const char *path);

/** The last part of a path; borrowed from it. */
const char *sw_app_base_name(const char *path);

#endif
