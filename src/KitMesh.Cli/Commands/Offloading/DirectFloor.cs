using System.Collections.Concurrent;
using KitMesh.Disk;
using KitMesh.Disk.Media;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>
/// The least that any program must do to have three read-back copies: one direct read of the source, three direct writes,
/// the flushes, three direct reads. No hash, no names made safe, no lists.
/// </summary>
internal static class DirectFloor
{
    private const int Piece = 4 << 20;
    private const int Pieces = 10;
    private const int FilesPerFlush = 256;

    /// <summary>Does it.</summary>
    /// <param name="card">The source.</param>
    /// <param name="drives">Where to.</param>
    public static void Run(string card, string[] drives)
    {
        using var free = new BlockingCollection<Shared>();
        List<AlignedBuffer> buffers = [.. Enumerable.Range(0, Pieces).Select(_ => new AlignedBuffer(Piece))];
        buffers.ForEach(buffer => free.Add(new Shared(buffer)));
        List<Writer> writers = [.. drives.Select(drive => new Writer(drive, free))];
        foreach (FileInfo source in new DirectoryInfo(card).EnumerateFiles("*", SearchOption.AllDirectories).OrderBy(file => file.Name, StringComparer.Ordinal))
        {
            using MediaFile file = MediaFile.OpenRead(source.FullName, wantDirect: true);
            writers.ForEach(writer => writer.Post(new Step(source, null, 0, 0)));
            for (long offset = 0; offset < source.Length; offset += Piece)
            {
                Shared shared = free.Take();
                int got = file.Read(offset, shared.Buffer.Span[..Want(source.Length - offset)]);
                shared.Holders = writers.Count;
                writers.ForEach(writer => writer.Post(new Step(source, shared, offset, got)));
            }
        }

        writers.ForEach(writer => writer.Finish());
        buffers.ForEach(buffer => ((IDisposable)buffer).Dispose());
    }

    // Not past the end: the kernel would zero the rest of the buffer.
    private static int Want(long left) => (int)Math.Min(Piece, (left + 4095) & ~4095L);

    private sealed class Shared(AlignedBuffer buffer)
    {
        private int _holders;

        public AlignedBuffer Buffer => buffer;

        public int Holders
        {
            set => Volatile.Write(ref _holders, value);
        }

        public bool Release() => Interlocked.Decrement(ref _holders) == 0;
    }

    private readonly record struct Step(FileInfo Source, Shared? Shared, long Offset, int Length);

    private sealed class Writer
    {
        private readonly BlockingCollection<Step> _steps = new(64);
        private readonly List<string> _written = [];
        private readonly string _drive;
        private readonly BlockingCollection<Shared> _free;
        private readonly Task _work;
        private MediaFile? _file;
        private long _unflushed;
        private int _files;

        public Writer(string drive, BlockingCollection<Shared> free)
        {
            _drive = drive;
            _free = free;
            _work = Task.Factory.StartNew(Work, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        }

        public void Post(Step step) => _steps.Add(step);

        public void Finish()
        {
            _steps.CompleteAdding();
            _work.GetAwaiter().GetResult();
            _steps.Dispose();
        }

        private void Work()
        {
            using MediaFile top = MediaFile.OpenFolder(_drive);
            foreach (Step step in _steps.GetConsumingEnumerable())
            {
                if (step.Shared is not { } shared)
                {
                    Begin(step.Source, top);
                    continue;
                }

                int length = _file!.IsDirect ? (step.Length + 4095) & ~4095 : step.Length;
                _file.Write(step.Offset, shared.Buffer.Span[..length]);
                if (length != step.Length)
                {
                    _file.SetLength(step.Source.Length);
                }

                if (shared.Release())
                {
                    _free.Add(shared);
                }
            }

            Commit(top);
        }

        private void Begin(FileInfo source, MediaFile top)
        {
            _file?.Dispose();
            _file = null;
            if (_files >= FilesPerFlush || _unflushed >= 64 << 20)
            {
                Commit(top);
            }

            string path = $"{_drive}/{source.Name}";
            _written.Add(path);
            _file = MediaFile.Create(path, wantDirect: source.Length > 1 << 20);
            _files++;
            _unflushed += source.Length;
            if (_file.IsDirect)
            {
                _file.TryAllocate(source.Length);
            }
        }

        private void Commit(MediaFile top)
        {
            _file?.Dispose();
            _file = null;
            top.FlushFileSystem();
            top.Flush();
            using var buffer = (IDisposable)new AlignedBuffer(Piece);
            foreach (string path in _written)
            {
                using MediaFile file = MediaFile.OpenRead(path, wantDirect: true);
                long size = file.Stat().Size;
                for (long offset = 0; offset < size;)
                {
                    int got = file.Read(offset, ((AlignedBuffer)buffer).Span[..Want(size - offset)]);
                    offset += got > 0 ? got : throw new IOException($"{path} ended early.");
                }
            }

            _written.Clear();
            _files = 0;
            _unflushed = 0;
        }
    }
}
