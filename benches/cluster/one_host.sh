#!/bin/sh
# Slurm on this one host, for a trial: a controller and some nodes of one core each, all bound to 127.0.0.1, as root,
# without systemd. Debian: apt-get install slurm-wlm munge.
#
#   one_host.sh up FOLDER NODES      prints SLURM_CONF=...: export it
#   one_host.sh down FOLDER
set -eu
[ $# -ge 2 ] || { sed -n '2,6s/^# \{0,1\}//p' "$0" >&2; exit 2; }
what=$1
mkdir -p "$2"
folder=$(cd "$2" && pwd)
host=$(hostname -s)

if [ "$what" = down ]; then
    for pid in "$folder"/run/*.pid; do
        [ -s "$pid" ] && kill "$(cat "$pid")" 2>/dev/null || true
    done
    exit 0
fi

nodes=$3
mkdir -p "$folder/state" "$folder/log" "$folder/run"
install -d -o munge -g munge -m 0755 /run/munge
install -d -o munge -g munge -m 0700 /var/lib/munge /var/log/munge
[ -s /etc/munge/munge.key ] || su -s /bin/sh munge -c /usr/sbin/mungekey
[ -S /run/munge/munge.socket.2 ] || su -s /bin/sh munge -c /usr/sbin/munged
# cred_expire: a requeued task waits that long
cat >"$folder/slurm.conf" <<CONF
ClusterName=local
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=cred_expire=10
CommunicationParameters=NoCtldInAddrAny,NoInAddrAny
StateSaveLocation=$folder/state
SlurmdSpoolDir=$folder/spool-%n
SlurmctldPidFile=$folder/run/slurmctld.pid
SlurmdPidFile=$folder/run/slurmd-%n.pid
SlurmctldLogFile=$folder/log/slurmctld.log
SlurmdLogFile=$folder/log/slurmd-%n.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
MpiDefault=none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
AccountingStorageType=accounting_storage/none
JobAcctGatherType=jobacct_gather/none
JobCompType=jobcomp/filetxt
JobCompLoc=$folder/log/jobcomp.log
ReturnToService=2
SlurmdTimeout=10
SlurmctldTimeout=10
SchedulerParameters=sched_interval=2,batch_sched_delay=0,sched_min_interval=100000,bf_interval=2
CONF
i=1
while [ "$i" -le "$nodes" ]; do
    echo "NodeName=n$i NodeHostname=$host NodeAddr=127.0.0.1 Port=$((6820 + i)) CPUs=1 RealMemory=1000 State=UNKNOWN"
    i=$((i + 1))
done >>"$folder/slurm.conf"
echo "PartitionName=work Nodes=ALL Default=YES MaxTime=INFINITE State=UP" >>"$folder/slurm.conf"
export SLURM_CONF="$folder/slurm.conf"
slurmctld -f "$SLURM_CONF"
i=1
while [ "$i" -le "$nodes" ]; do
    slurmd -f "$SLURM_CONF" -N "n$i"
    i=$((i + 1))
done
tries=0
until [ "$(sinfo -h -N -t idle -o %N | wc -l)" = "$nodes" ]; do
    sleep 0.5
    tries=$((tries + 1))
    [ "$tries" -lt 80 ] || { sinfo -N -l; tail -n 5 "$folder/log/slurmctld.log"; exit 1; } >&2
done
echo "SLURM_CONF=$SLURM_CONF"
