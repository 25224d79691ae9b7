/* bare: the setup record of programs that come with neither job nor record.
 *
 * One chucking from the rod: all tools of the shop at their stations, each zeroed on the axis and
 * the end face of the rod (z = 0), the coordinate systems as the shop's dialect gives them out, and
 * the holder that was asked for or the first that takes the rod. Nothing hangs behind the spindle.
 * Lives in the context. Statuses: SW_USAGE for a rod that is none, SW_INPUT for a holder the shop
 * does not have, SW_CANNOT when none takes the rod.
 */
#ifndef SW_APP_BARE_H
#define SW_APP_BARE_H

#include "app/app.h"

enum sw_status sw_app_bare_setup(struct sw_setup **out, const struct sw_app_dryrun *dryrun,
                                 const struct sw_shop *shop, const struct sw_app *app,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
