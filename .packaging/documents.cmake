# Man pages, completion, the manual and stubs: a program writes them from the tables of the runner and the catalogue.
file(GLOB document_sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/bindings/documents/*.c)
list(FILTER document_sources EXCLUDE REGEX "/write_documents.c$")
add_library(document_objects OBJECT ${document_sources}) # which the tests link too
target_include_directories(document_objects PRIVATE ${PROJECT_SOURCE_DIR}/bindings/runner ${PROJECT_SOURCE_DIR}/bindings)
target_link_libraries(document_objects PRIVATE core_static project_rules PkgConfig::LUA)
add_executable(write_documents ${PROJECT_SOURCE_DIR}/bindings/documents/write_documents.c $<TARGET_OBJECTS:document_objects>
               $<TARGET_OBJECTS:runner_objects> $<TARGET_OBJECTS:binding_objects>)
set_target_properties(write_documents PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR}/tools)
target_include_directories(write_documents PRIVATE ${PROJECT_SOURCE_DIR}/bindings/runner ${PROJECT_SOURCE_DIR}/bindings)
target_link_libraries(write_documents PRIVATE core_static project_rules PkgConfig::LUA)
if(EDITLINE_FOUND)
  target_link_libraries(write_documents PRIVATE ${CMAKE_DL_LIBS})
endif()

# written_from_tables(NAME SOURCES ... ARGUMENTS ...): the build's folder NAME, made anew when a source changes.
function(written_from_tables name)
  cmake_parse_arguments(PARSE_ARGV 1 own "" "" "ARGUMENTS;SOURCES")
  set(folder ${PROJECT_BINARY_DIR}/${name})
  add_custom_command(OUTPUT ${folder}.written
    COMMAND ${CMAKE_COMMAND} -E rm -rf ${folder}
    COMMAND ${CMAKE_COMMAND} -E make_directory ${folder}
    COMMAND write_documents ${name} ${folder} ${own_ARGUMENTS}
    COMMAND ${CMAKE_COMMAND} -E touch ${folder}.written
    DEPENDS write_documents ${own_SOURCES} COMMENT "Writing ${name}/" VERBATIM)
  add_custom_target(${name} ALL DEPENDS ${folder}.written)
endfunction()

set(module_stubs ${PROJECT_SOURCE_DIR}/bindings/documents/module_stubs.lua)
set(manual_style ${PROJECT_SOURCE_DIR}/scripts/report/style.lua)
file(GLOB published_cases CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/tests/reference/*.json)
written_from_tables(man)
written_from_tables(completions)
written_from_tables(stubs SOURCES ${module_stubs} ARGUMENTS ${module_stubs})
written_from_tables(manual SOURCES impinge ${module_stubs} ${manual_style} ${published_cases}
  ARGUMENTS $<TARGET_FILE:impinge> ${PROJECT_SOURCE_DIR}/tests/reference ${manual_style} ${module_stubs})
