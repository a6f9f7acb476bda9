# Completion of holdbook for fish. The words typed are handed over as they
# stand; nothing of them is expanded or evaluated.
function __holdbook_complete
    set -l words (commandline -opc) (commandline -ct)
    for line in (command holdbook __complete $words[2..-1] 2>/dev/null)
        if test "$line" = ":files"
            __fish_complete_path (commandline -ct)
        else
            printf '%s\n' $line
        end
    end
end
complete -c holdbook -f -a '(__holdbook_complete)'
