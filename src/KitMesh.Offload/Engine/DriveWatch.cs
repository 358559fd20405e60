using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Offload.Engine;

// The problem: a drive that hangs (a cable that half fits, a bridge that crashed) may let a call wait for ever, and nothing
// ends such a call from outside. The trap: whoever waits for its thread hangs too, so the verdict on the other drives never
// comes; and a thread that wakes an hour later must not change what was told. The method: every call to a drive is made by
// a thread of that drive and is told as it begins and returns. When one has been waiting for longer than patience, the drive
// is given up: each of its clips that is not proven fails, its threads are left behind with the buffers that the kernel may
// still use, and the first call that returns ends its thread's work.

/// <summary>Watches whether the drives of one offload answer.</summary>
internal sealed class DriveWatch : IDisposable
{
    private const int LooksInPatience = 8;

    private readonly IReadOnlyList<OpenDrive> _drives;
    private readonly IReadOnlyList<DriveAnswer> _answers;
    private readonly IReadOnlyList<DriveCaller> _callers;
    private readonly OffloadDesk _desk;
    private readonly TimeSpan _patience;
    private readonly ITimer _timer;
    private readonly Lock _looking = new();
    private IReadOnlyList<DriveLane> _lanes = [];

    public DriveWatch(IReadOnlyList<OpenDrive> drives, IReadOnlyList<DeviceTurn?> turns, OffloadDesk desk, TimeProvider time, TimeSpan patience)
    {
        _drives = drives;
        _desk = desk;
        _patience = patience;
        Dictionary<DeviceTurn, DriveAnswer> shared = [];
        List<DriveAnswer> answers = [];
        foreach (DeviceTurn? turn in turns)
        {
            var answer = new DriveAnswer(time, patience);
            if (turn is not null && !shared.TryAdd(turn, answer))
            {
                answer = shared[turn];
            }

            answers.Add(answer);
        }

        _answers = answers;
        _callers = [.. drives.Select((drive, i) => new DriveCaller(drive.Drive.Value, answers[i]))];
        _timer = time.CreateTimer(_ => Look(), null, patience / LooksInPatience, patience / LooksInPatience);
    }

    /// <summary>Tells when a drive answered last.</summary>
    /// <param name="drive">Its number.</param>
    public DriveAnswer Of(int drive) => _answers[drive];

    /// <summary>Does something with a drive, and waits no longer than until it is given up.</summary>
    /// <param name="drive">Its number.</param>
    /// <param name="work">What; its faults come out of here.</param>
    /// <returns>False when the drive was given up.</returns>
    public bool TryCall(int drive, Action work) => _callers[drive].TryCall(work);

    /// <summary>From now on these lanes are left behind with their drives.</summary>
    /// <param name="lanes">One for each drive.</param>
    public void Guard(IReadOnlyList<DriveLane> lanes)
    {
        lock (_looking)
        {
            _lanes = lanes;
            foreach (DriveLane lane in lanes.Where(lane => _desk.IsSilent(lane.Number)))
            {
                lane.LeaveBehind();
            }
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _timer.Dispose();
        foreach (DriveCaller caller in _callers)
        {
            caller.Dispose();
        }
    }

    private void Look()
    {
        lock (_looking)
        {
            for (int i = 0; i < _drives.Count; i++)
            {
                if (!_desk.IsSilent(i) && _answers[i].TryGiveUp())
                {
                    _desk.GiveUp(i, Words(_drives[i]));
                    _callers[i].Dispose();
                    if (i < _lanes.Count)
                    {
                        _lanes[i].LeaveBehind();
                    }
                }
            }
        }
    }

    private string Words(OpenDrive drive) =>
        $"{drive.Drive} {FaultWords.Silence(_patience)} and was given up; what was proven before stands. Check its cable and power, then run the offload again";
}
