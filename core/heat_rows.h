/* heat_rows.h — the heat entries that stand in files of their own. Private to heat*.c. */
#ifndef IMP_HEAT_ROWS_H
#define IMP_HEAT_ROWS_H

#include "catalogue.h"

extern const imp_param imp_heat_hose_loss_in[7];
extern const imp_param imp_heat_hose_loss_out[3];
imp_status imp_heat_hose_loss_evaluate(const imp_call *call);

extern const imp_param imp_heat_hose_circuit_in[5];
extern const imp_param imp_heat_hose_circuit_out[4];
imp_status imp_heat_hose_circuit_evaluate(const imp_call *call);

extern const imp_param imp_heat_hose_tap_in[9];
extern const imp_param imp_heat_hose_tap_out[6];
imp_status imp_heat_hose_tap_evaluate(const imp_call *call);

#endif
