# tarn_install_for_prefix FILE DESTINATION - installs a text that names other installed files.
#
# Units and man pages name the program and the example rooms by their whole path, and where those go is
# said at `cmake --install --prefix`, not before. In the tree the texts are right for /usr, so that they
# can be read and verified there; the install writes them for the prefix that it was given. DESTDIR is
# where the files are put for now (a package, a test), and never stands in them.
function(tarn_install_for_prefix source destination)
  cmake_path(ABSOLUTE_PATH source BASE_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR} NORMALIZE)
  cmake_path(GET source FILENAME name)
  install(CODE "
    set(bin [[${CMAKE_INSTALL_BINDIR}]])
    set(doc [[${CMAKE_INSTALL_DOCDIR}]])
    set(lib lib/tarn)
    set(to [[${destination}/${name}]])
    foreach(path bin doc lib to)
      cmake_path(ABSOLUTE_PATH \${path} BASE_DIRECTORY \"\${CMAKE_INSTALL_PREFIX}\" NORMALIZE)
    endforeach()
    file(READ [[${source}]] text)
    string(REPLACE /usr/bin \"\${bin}\" text \"\${text}\")
    string(REPLACE /usr/lib/tarn \"\${lib}\" text \"\${text}\")
    string(REPLACE /usr/share/doc/tarn \"\${doc}\" text \"\${text}\")
    message(STATUS \"Installing: \$ENV{DESTDIR}\${to}\")
    file(WRITE \"\$ENV{DESTDIR}\${to}\" \"\${text}\")
    file(CHMOD \"\$ENV{DESTDIR}\${to}\" PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ)
    list(APPEND CMAKE_INSTALL_MANIFEST_FILES \"\${to}\")")
endfunction()
