using KitMesh.Devices.Following;
using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Typed;

/// <summary>Follows the JSON-lines files of a drop folder.</summary>
internal sealed class TypedReader(string name, TypedOptions options, ReaderContext context) : IReader
{
    private const int MaxFiles = 1000;

    private readonly Dictionary<string, FollowedFile> _files = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    public string Name => name;

    /// <inheritdoc/>
    public async Task RunAsync(ISampleSink sink, CancellationToken stop)
    {
        var faults = new FaultLatch(name, sink);
        var places = FilePlaces.Load(context.StateFolder);
        var feed = new LineFeed(sink, faults, places);
        Directory.CreateDirectory(options.Folder);
        using var wake = new FileWake(options.Folder, "*.jsonl", options.Interval, context.Pace);
        while (true)
        {
            context.CountWakeUp();
            await LookAsync(feed, places, stop).ConfigureAwait(false);
            await wake.WaitAsync(stop).ConfigureAwait(false);
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        foreach (FollowedFile file in _files.Values)
        {
            file.Dispose();
        }

        return ValueTask.CompletedTask;
    }

    private async Task LookAsync(LineFeed feed, FilePlaces places, CancellationToken stop)
    {
        foreach (string path in Directory.EnumerateFiles(options.Folder, "*.jsonl").Order(StringComparer.Ordinal).Take(MaxFiles))
        {
            if (!_files.TryGetValue(path, out FollowedFile? file))
            {
                _files[path] = file = new FollowedFile(path, places.Of(path));
            }

            await feed.DrainAsync(path, file, Judge, stop).ConfigureAwait(false);
        }
    }

    private static string? Judge(string line, ICollection<Sample> samples)
    {
        if (string.IsNullOrWhiteSpace(line))
        {
            return null;
        }

        string? complaint = ReadingLine.Parse(line, ReadingSource.Typed, out Sample sample);
        if (complaint is null)
        {
            samples.Add(sample);
        }

        return complaint;
    }
}
