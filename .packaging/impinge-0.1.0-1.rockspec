-- From the top of the tree:  luarocks make .packaging/impinge-0.1.0-1.rockspec
rockspec_format = "3.0"
package = "impinge"
version = "0.1.0-1"
source = { url = "git+file:." } -- the tree itself; `luarocks make` builds where it is called
description = {
  summary = "Quantities and calculations for two-component spray rigs",
  detailed = "Units, a catalogue of calculations with formulas and sources, solving backwards, sweeps and uncertainty. " ..
    "The figures support and never replace the supplier's data sheets, local codes and licensed practice.",
  license = "MIT",
}
supported_platforms = { "linux" }
dependencies = { "lua >= 5.4, < 5.5" }
external_dependencies = { CJSON = { header = "cjson/cJSON.h", library = "cjson" } }
build = {
  type = "cmake",
  variables = {
    CMAKE_BUILD_TYPE = "RelWithDebInfo",
    CMAKE_INSTALL_PREFIX = "$(PREFIX)",
    ONLY_LUA_MODULE = "ON", -- with the core inside it; no command, no second library
    LUA_MODULE_FOLDER = "$(LIBDIR)",
    LUA_INCLUDE_FOLDER = "$(LUA_INCDIR)",
  },
}
