using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Copies a card to drives, each file read once, and proves every copy.</summary>
/// <param name="clock">The wall clock, for the lists on drives.</param>
/// <param name="time">Machine time, for the age of batches.</param>
/// <param name="ids">Draws the identity of a drive that has none.</param>
public sealed class OffloadEngine(IClock clock, TimeProvider time, Func<ulong> ids)
{
    /// <summary>Offloads a card. Blocks until it is done; works on threads of its own.</summary>
    /// <param name="request">What to do.</param>
    /// <param name="listener">Told each fact as it becomes true, one at a time, from any thread.</param>
    /// <param name="progress">Counts; look at it from elsewhere.</param>
    /// <param name="stop">Stops soon, in good order.</param>
    public OffloadResult Run(OffloadRequest request, Action<ReportBody> listener, OffloadProgress progress, CancellationToken stop)
    {
        request = request with { CardRoot = Path.GetFullPath(request.CardRoot) };
        List<OpenDrive> drives = [];
        OffloadRun? run = null;
        using var card = new PatientCall(request.CardRoot, time, request.Patience);
        try
        {
            List<string> problems = [];
            if (!card.Try(() => problems.AddRange(Objections(request))))
            {
                return new OffloadResult.Refused([Silence(request.CardRoot, request)]);
            }

            List<string> unusable = [];
            if (problems.Count == 0)
            {
                OpenAll(request, drives, problems, request.GoOnWithout ? unusable : problems);
            }

            if (problems.Count > 0 || drives.Count == 0)
            {
                return new OffloadResult.Refused([.. problems, .. unusable]);
            }

            CardContent? content = null;
            if (!card.Try(() => content = CardContent.Of(request.CardRoot)))
            {
                return new OffloadResult.Refused([Silence(request.CardRoot, request)]);
            }

            run = new OffloadRun(request, drives, content!, card, new ReportOut(listener), progress, clock, time, stop);
            run.Remark(unusable);
            return new OffloadResult.Ran(run.Go());
        }
        catch (MediaFault fault)
        {
            return new OffloadResult.Refused([fault.Message]);
        }
        finally
        {
            for (int i = 0; i < drives.Count; i++)
            {
                if (run?.IsSilent(i) == true)
                {
                    // Closing the files of a drive that hangs may hang too. Once it answers, its lock is free again.
                    new Thread(drives[i].Dispose) { IsBackground = true, Name = "left behind" }.Start();
                }
                else
                {
                    drives[i].Dispose();
                }
            }
        }
    }

    private static IEnumerable<string> Objections(OffloadRequest request)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(request.CopiesWanted, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(request.Patience, TimeSpan.FromSeconds(1));
        if (request.Drives.Count is 0 or > OffloadRequest.MaxDrives)
        {
            yield return FormattableString.Invariant($"an offload goes to 1 to {OffloadRequest.MaxDrives} drives, not {request.Drives.Count}");
        }

        if (!Directory.Exists(request.CardRoot))
        {
            yield return $"{request.CardRoot} is no folder: is the card in the reader and mounted?";
            yield break;
        }

        if (DriveIdentity.Marks(request.CardRoot))
        {
            yield return $"{request.CardRoot} is a drive (it has {DriveIdentity.FilePath}), not a card; drives are not offloaded";
        }

        string card = request.CardRoot.TrimEnd('/') + "/";
        foreach (string root in request.Drives.Select(drive => Path.GetFullPath(drive.Root).TrimEnd('/') + "/"))
        {
            if (root.StartsWith(card, StringComparison.Ordinal) || card.StartsWith(root, StringComparison.Ordinal))
            {
                yield return $"{root} and the card {card} lie inside each other; nothing is ever written to a card";
            }
        }
    }

    private void OpenAll(OffloadRequest request, List<OpenDrive> drives, List<string> problems, List<string> unusable)
    {
        var same = request.Drives.GroupBy(drive => Path.GetFullPath(drive.Root)).Where(group => group.Count() > 1).ToList();
        problems.AddRange(same.Select(group => $"{group.Key} is named twice; two copies on one drive are one copy"));
        foreach (DriveTarget target in same.Count > 0 ? [] : request.Drives)
        {
            switch (Open(target, request))
            {
                case DriveOpening.Taken taken when drives.Exists(drive => drive.Identity.Identity == taken.Drive.Identity.Identity):
                    problems.Add($"{taken.Drive.Root} has the identity of another drive named here; two copies on one drive are one copy");
                    taken.Drive.Dispose();
                    break;
                case DriveOpening.Taken taken:
                    drives.Add(taken.Drive);
                    break;
                case DriveOpening.Refused refused:
                    unusable.Add(refused.Why);
                    break;
                default:
                    throw new System.Diagnostics.UnreachableException();
            }
        }
    }

    private DriveOpening Open(DriveTarget target, OffloadRequest request)
    {
        DriveOpening? opening = null;
        using var call = new PatientCall(target.Root, time, request.Patience);
        return call.Try(() => opening = OpenDrive.Open(target, ids)) ? opening! : new DriveOpening.Refused(Silence(target.Root, request));
    }

    private static string Silence(string root, OffloadRequest request) => $"{root} {FaultWords.Silence(request.Patience)}: check its cable and power";
}
