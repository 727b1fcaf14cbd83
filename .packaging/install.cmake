# What `cmake --install` puts where.
include(CMakePackageConfigHelpers)

# A second number below 1.0 may change names: the soname carries it.
if(PROJECT_VERSION_MAJOR EQUAL 0)
  set(soversion ${PROJECT_VERSION_MAJOR}.${PROJECT_VERSION_MINOR})
else()
  set(soversion ${PROJECT_VERSION_MAJOR})
endif()
set_target_properties(core_shared PROPERTIES VERSION ${PROJECT_VERSION} SOVERSION ${soversion} EXPORT_NAME core)
set_target_properties(core_static PROPERTIES EXPORT_NAME core_static)
add_library(impinge::core ALIAS core_shared)
add_library(impinge::core_static ALIAS core_static)

# The public headers are those that core/impinge.h includes; with rooms.h goes the table it reads.
set(umbrella ${PROJECT_SOURCE_DIR}/core/impinge.h)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${umbrella})
file(STRINGS ${umbrella} includes REGEX "^#include \"")
list(TRANSFORM includes REPLACE "^#include \"([a-z_]+\\.h)\".*" "${PROJECT_SOURCE_DIR}/core/\\1")
install(FILES ${umbrella} ${includes} ${PROJECT_SOURCE_DIR}/core/rooms.def DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/impinge)

install(TARGETS impinge RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(TARGETS core_shared core_static EXPORT impinge
  LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR} ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR}
  INCLUDES DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(TARGETS lua_module LIBRARY DESTINATION ${LUA_MODULE_FOLDER})

# find_package(impinge 0.1) and pkg-config impinge
set(config_folder ${CMAKE_INSTALL_LIBDIR}/cmake/impinge)
install(EXPORT impinge NAMESPACE impinge:: FILE impinge-targets.cmake DESTINATION ${config_folder})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/impinge-config-version.cmake COMPATIBILITY SameMinorVersion)
configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/impinge-config.cmake.in ${PROJECT_BINARY_DIR}/impinge-config.cmake
  INSTALL_DESTINATION ${config_folder})
install(FILES ${PROJECT_BINARY_DIR}/impinge-config.cmake ${PROJECT_BINARY_DIR}/impinge-config-version.cmake DESTINATION ${config_folder})

# pkg-config finds the prefix from its own place, so that the installed folder can be moved.
file(RELATIVE_PATH prefix_from_pc /root/${CMAKE_INSTALL_LIBDIR}/pkgconfig /root)
configure_file(${CMAKE_CURRENT_LIST_DIR}/impinge.pc.in ${PROJECT_BINARY_DIR}/impinge.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/impinge.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)

# Scripts, where the runner looks for them, and examples.
install(DIRECTORY scripts DESTINATION ${CMAKE_INSTALL_DATADIR}/impinge)
install(DIRECTORY examples DESTINATION ${CMAKE_INSTALL_DOCDIR} PATTERN run.sh EXCLUDE)
install(FILES README.md DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright)

# What the build wrote.
install(DIRECTORY ${PROJECT_BINARY_DIR}/man/ DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(DIRECTORY ${PROJECT_BINARY_DIR}/manual DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(DIRECTORY ${PROJECT_BINARY_DIR}/stubs DESTINATION ${CMAKE_INSTALL_DATADIR}/impinge)
set(completions ${PROJECT_BINARY_DIR}/completions)
# Debian's zsh looks for packages' completion in a folder of its own.
set(zsh_folder ${CMAKE_INSTALL_DATADIR}/zsh/site-functions)
if(CMAKE_INSTALL_PREFIX STREQUAL "/usr" AND EXISTS /etc/debian_version)
  set(zsh_folder ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions)
endif()
install(FILES ${completions}/impinge.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME impinge)
install(FILES ${completions}/_impinge DESTINATION ${zsh_folder})
install(FILES ${completions}/impinge.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)

# `cmake --build FOLDER --target uninstall` takes away what the last install from this folder wrote.
add_custom_target(uninstall COMMAND ${CMAKE_COMMAND} -P ${CMAKE_CURRENT_LIST_DIR}/uninstall.cmake
  WORKING_DIRECTORY ${PROJECT_BINARY_DIR} VERBATIM)
