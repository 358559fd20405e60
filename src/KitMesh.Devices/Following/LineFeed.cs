using System.Globalization;
using System.Text;

namespace KitMesh.Devices.Following;

/// <summary>Passes the lines of followed files to the sink. A line is forgotten only after its samples are durable.</summary>
internal sealed class LineFeed(ISampleSink sink, FaultLatch faults, FilePlaces places)
{
    private const int LinesAtOnce = 500;

    /// <summary>Reads everything that was added to a file.</summary>
    public async Task DrainAsync(string path, FollowedFile file, LineJudge judge, CancellationToken stop)
    {
        while (true)
        {
            IReadOnlyList<(string Line, FilePlace After)> lines;
            try
            {
                lines = file.Look(LinesAtOnce);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                await faults.RaiseAsync(path, null, $"{path} cannot be read: {e.Message}", default, stop).ConfigureAwait(false);
                return;
            }

            if (lines.Count == 0)
            {
                return;
            }

            await PassAsync(path, lines, judge, stop).ConfigureAwait(false);
            await sink.FlushAsync(stop).ConfigureAwait(false);
            places.Remember(path, lines[^1].After);
        }
    }

    private async Task PassAsync(string path, IReadOnlyList<(string Line, FilePlace After)> lines, LineJudge judge, CancellationToken stop)
    {
        var samples = new List<Sample>();
        foreach ((string line, FilePlace after) in lines)
        {
            samples.Clear();
            if (judge(line, samples) is { } complaint)
            {
                // Kept word for word in the fault report: nothing malformed is dropped in silence.
                string words = string.Create(CultureInfo.InvariantCulture, $"{path}, line ending at byte {after.Offset}: {complaint}");
                await faults.RaiseAsync(path, null, words, Encoding.UTF8.GetBytes(line), stop).ConfigureAwait(false);
                continue;
            }

            await faults.ClearAsync(path, null, stop).ConfigureAwait(false);
            foreach (Sample sample in samples)
            {
                await sink.WriteAsync(sample, stop).ConfigureAwait(false);
            }
        }
    }
}
