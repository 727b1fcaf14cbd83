/* rooms.h — one array of entries for each room of rooms.def, each ended by IMP_CALC_END. */
#ifndef IMP_ROOMS_H
#define IMP_ROOMS_H

#include "catalogue.h"

#define IMP_ROOM(name, title) extern const imp_calc imp_##name##_calcs[];
#include "rooms.def"
#undef IMP_ROOM

/* Title of the group an id belongs to ("climate.dew_point" -> "Air, humidity and surface"), or NULL. */
const char *imp_room_title(const char *id);

#endif
