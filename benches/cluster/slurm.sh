#!/usr/bin/env bash
# One search on the machines of a Slurm cluster: an array job with a share in each task, then a job that merges.
#
#   slurm.sh STUDY SHARES FOLDER [--first N] [--best-of GROUP] [--front PATH] [further options of `rank`]
#
# The result is FOLDER/ranked.csv and ranked.json (with --best-of also groups.csv), to the byte that of one machine. The
# program is $SUMPWRIGHT, or `sumpwright` of the PATH; it, STUDY and FOLDER must be seen by all nodes under the same
# names. $SBATCH_OPTIONS goes to both jobs, such as "--partition=long --time=2:00:00 --signal=B:TERM@60".
#
# A task that is told to stop (TERM: requeued, preempted, end of its time) keeps what it has and is put into the queue
# again, where it goes on; one that is killed outright starts anew; both five times at most. What is in FOLDER of an
# earlier run of the same search is used.
set -euo pipefail
program=${SUMPWRIGHT:-sumpwright}

# The task of a share: called by Slurm, with the arguments that `submit` gives below.
task() {
    local study=$1 shares=$2 folder=$3 share=$SLURM_ARRAY_TASK_ID child code=0
    shift 3
    local state=$folder/share-$share-of-$shares.json go_on=()
    [[ -s $state ]] && go_on=(--resume "$state")
    echo "share $share of $shares on ${SLURMD_NODENAME:-$HOSTNAME}, started $((${SLURM_RESTART_COUNT:-0} + 1)) times" \
        "${go_on[*]:+, goes on from what it kept}"
    "$program" rank "$study" --share "$share/$shares" --checkpoint "$state" "${go_on[@]}" --threads "${SLURM_CPUS_PER_TASK:-1}" \
        "$@" &
    child=$!
    trap 'kill -TERM "$child" 2>/dev/null || true' TERM INT
    # a signal ends the first `wait` early: the program then still writes what it has
    wait "$child" || code=$?
    while kill -0 "$child" 2>/dev/null; do wait "$child" || code=$?; done
    [[ $code -le 128 ]] || { code=0; wait "$child" || code=$?; }
    echo "share $share of $shares ended with $code"
    if [[ $code -eq 4 || $code -gt 128 ]] && [[ ${SLURM_RESTART_COUNT:-0} -lt 5 ]]; then
        # already in the queue again where it was Slurm that told it to stop
        scontrol requeue "$SLURM_JOB_ID" || true
    fi
    exit "$code"
}

submit() {
    local study shares=$2 folder i
    study=$(realpath "$1")
    mkdir -p "$3"
    folder=$(realpath "$3")
    shift 3
    local outputs=(--csv "$folder/ranked.csv" --json "$folder/ranked.json") files=()
    for ((i = 1; i <= $#; i++)); do
        case ${!i} in
        --best-of | --best-of=*) outputs+=(--groups "$folder/groups.csv") ;;
        --front) outputs+=(--front "${@:i+1:1}") ;;
        --front=*) outputs+=("${!i}") ;;
        esac
    done
    for ((i = 1; i <= shares; i++)); do files+=("$folder/share-$i-of-$shares.json"); done
    rm -f "$folder/ranked.csv" "$folder/ranked.json"

    # waiting on the array tells of a failed task; waiting on a job that depends on it does not, as that is cancelled
    # shellcheck disable=SC2086
    sbatch ${SBATCH_OPTIONS:-} --job-name=shares --array="1-$shares" --requeue --open-mode=append \
        --output="$folder/share-%a.log" --wait "$0" task "$study" "$shares" "$folder" "$@" ||
        { echo "a share failed: see $folder/share-*.log" >&2; exit 1; }
    # shellcheck disable=SC2086
    sbatch ${SBATCH_OPTIONS:-} --job-name=merge --output="$folder/merge.log" --wait \
        "$0" merge "$study" "${files[@]}" "${outputs[@]}" || true
    [[ -s $folder/ranked.csv ]] || { echo "nothing was merged: see $folder/merge.log" >&2; exit 1; }
    echo "merged: $folder/ranked.csv"
}

case ${1:-} in
task) shift && task "$@" ;;
merge) exec "$program" "$@" ;;
*)
    [[ $# -ge 3 ]] || { sed -n '2,13s/^# \{0,1\}//p' "$0" >&2; exit 2; }
    submit "$@"
    ;;
esac
