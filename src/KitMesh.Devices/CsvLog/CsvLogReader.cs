using KitMesh.Devices.Following;

namespace KitMesh.Devices.CsvLog;

/// <summary>Follows one logger's file over rotation, truncation and restarts.</summary>
internal sealed class CsvLogReader(string name, CsvLogOptions options, ReaderContext context) : IReader
{
    private readonly CsvRows _rows = new(options);
    private FollowedFile? _file;
    private int _restarts;

    /// <inheritdoc/>
    public string Name => name;

    /// <inheritdoc/>
    public async Task RunAsync(ISampleSink sink, CancellationToken stop)
    {
        var faults = new FaultLatch(name, sink);
        var places = FilePlaces.Load(context.StateFolder);
        var feed = new LineFeed(sink, faults, places);
        FilePlace place = places.Of(options.File);
        RememberHeader(place);
        _file = new FollowedFile(options.File, place);
        using var wake = new FileWake(Path.GetDirectoryName(options.File)!, Path.GetFileName(options.File), options.Interval, context.Pace);
        while (true)
        {
            context.CountWakeUp();
            await feed.DrainAsync(options.File, _file, Judge, stop).ConfigureAwait(false);
            if (_file.Place.Offset == 0 && !File.Exists(options.File))
            {
                await faults.RaiseAsync("file", null, $"{options.File} is not there yet.", default, stop).ConfigureAwait(false);
            }
            else
            {
                await faults.ClearAsync("file", null, stop).ConfigureAwait(false);
            }

            await wake.WaitAsync(stop).ConfigureAwait(false);
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        _file?.Dispose();
        return ValueTask.CompletedTask;
    }

    private string? Judge(string line, ICollection<Sample> samples)
    {
        if (_file!.Restarts != _restarts)
        {
            _restarts = _file.Restarts;
            _rows.StartFile();
        }

        return _rows.Judge(line, samples);
    }

    // After a restart reading goes on in the middle of the file; its first line still names the columns.
    private void RememberHeader(FilePlace place)
    {
        if (place.Offset > 0 && File.Exists(options.File))
        {
            using var reader = new StreamReader(new FileStream(options.File, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete));
            if (reader.ReadLine() is { Length: > 0 and < FollowedFile.MaxLine } first)
            {
                _rows.TakeHeader(first);
            }
        }
    }
}
