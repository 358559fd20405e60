using System.Buffers.Binary;
using System.Text;
using KitMesh.Disk.Media;

namespace KitMesh.Cli.Commands.Offloading.Modelled;

/// <summary>Serves one file, "image", held in memory, at the pace of a <see cref="DriveModel"/>, until it is unmounted.</summary>
internal sealed class FuseImage : IDisposable
{
    /// <summary>Name of the file.</summary>
    public const string Name = "image";

    private const int Chunk = 1 << 20;
    private const int NotFound = 2;
    private const int NotImplemented = 38;

    private readonly FileStream _fuse;
    private readonly long _size;
    private readonly DriveModel _model;
    private readonly TimeProvider _time;
    private readonly ManualResetEvent _never = new(false);
    private readonly byte[]?[] _chunks;
    private readonly byte[] _request = new byte[FuseWire.MaxWrite + 65_536];
    private readonly byte[] _answer = new byte[FuseWire.MaxWrite + 4096];
    private readonly long _start;

    public FuseImage(string folder, long size, DriveModel model, TimeProvider time)
    {
        _size = size;
        _model = model;
        _time = time;
        _start = time.GetTimestamp();
        _chunks = new byte[]?[(size + Chunk - 1) / Chunk];
        _fuse = new FileStream("/dev/fuse", FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite, bufferSize: 0);
        Mounting.Mount("kitmesh-model", folder, "fuse", readOnly: false, $"fd={_fuse.SafeFileHandle.DangerousGetHandle()},rootmode=40000,user_id=0,group_id=0,max_read={FuseWire.MaxWrite}");
    }

    /// <summary>Whether requests take the time that the model says; while false they take none.</summary>
    public bool Paced { get; set; }

    /// <summary>Serves until the file system is unmounted.</summary>
    public void Serve()
    {
        while (true)
        {
            int got;
            try
            {
                got = _fuse.Read(_request);
            }
            catch (IOException)
            {
                // ENODEV: unmounted.
                return;
            }

            if (got < FuseWire.InHead || !Answer(_request.AsSpan(0, got)))
            {
                return;
            }
        }
    }

    /// <summary>Starts the drive's fast bytes anew.</summary>
    public void Rest() => _model.Rest();

    /// <inheritdoc/>
    public void Dispose()
    {
        _fuse.Dispose();
        _never.Dispose();
    }

    private bool Answer(ReadOnlySpan<byte> request)
    {
        uint what = BinaryPrimitives.ReadUInt32LittleEndian(request[4..]);
        ulong node = BinaryPrimitives.ReadUInt64LittleEndian(request[16..]);
        ReadOnlySpan<byte> body = request[FuseWire.InHead..];
        Span<byte> into = _answer.AsSpan(FuseWire.OutHead);
        int length = 0;
        int error = 0;
        switch (what)
        {
            case FuseWire.Forget or FuseWire.BatchForget or FuseWire.Interrupt:
                return true;
            case FuseWire.Destroy:
                return false;
            case FuseWire.Init:
                length = FuseWire.WriteInit(into);
                break;
            case FuseWire.Lookup:
                (length, error) = Look(body, into);
                break;
            case FuseWire.GetAttributes or FuseWire.SetAttributes:
                into[..16].Clear();
                FuseWire.WriteAttributes(into[16..], node, _size);
                length = 104;
                break;
            case FuseWire.Open:
                into[..16].Clear();

                // FOPEN_DIRECT_IO: no page cache between the loop device and the model.
                into[8] = 1;
                length = 16;
                break;
            case FuseWire.StatFileSystem:
                into[..80].Clear();
                BinaryPrimitives.WriteUInt32LittleEndian(into[40..], 4096);
                length = 80;
                break;
            case FuseWire.Read:
                length = Read(body, into);
                break;
            case FuseWire.Write:
                length = Write(body, into);
                break;
            case FuseWire.Sync or FuseWire.Flush or FuseWire.Release:
                break;
            default:
                error = NotImplemented;
                break;
        }

        Reply(request, length, error);
        return true;
    }

    private void Reply(ReadOnlySpan<byte> request, int length, int error)
    {
        BinaryPrimitives.WriteInt32LittleEndian(_answer, FuseWire.OutHead + length);
        BinaryPrimitives.WriteInt32LittleEndian(_answer.AsSpan(4), -error);
        request.Slice(8, 8).CopyTo(_answer.AsSpan(8));
        try
        {
            _fuse.Write(_answer.AsSpan(0, FuseWire.OutHead + length));
        }
        catch (IOException)
        {
            // The asker gave up meanwhile.
        }
    }

    private (int Length, int Error) Look(ReadOnlySpan<byte> name, Span<byte> into)
    {
        if (!name[..^1].SequenceEqual(Encoding.UTF8.GetBytes(Name)))
        {
            return (0, NotFound);
        }

        into[..40].Clear();
        into[0] = 2;
        FuseWire.WriteAttributes(into[40..], 2, _size);
        return (128, 0);
    }

    private int Read(ReadOnlySpan<byte> body, Span<byte> into)
    {
        long offset = BinaryPrimitives.ReadInt64LittleEndian(body[8..]);
        int size = (int)Math.Min(BinaryPrimitives.ReadUInt32LittleEndian(body[16..]), Math.Max(0, _size - offset));
        for (int done = 0; done < size;)
        {
            (int at, int length) = Place(offset + done, size - done);
            if (_chunks[(offset + done) / Chunk] is { } chunk)
            {
                chunk.AsSpan(at, length).CopyTo(into[done..]);
            }
            else
            {
                into.Slice(done, length).Clear();
            }

            done += length;
        }

        Pace(write: false, offset, size);
        return size;
    }

    private int Write(ReadOnlySpan<byte> body, Span<byte> into)
    {
        long offset = BinaryPrimitives.ReadInt64LittleEndian(body[8..]);
        int size = (int)BinaryPrimitives.ReadUInt32LittleEndian(body[16..]);
        ReadOnlySpan<byte> bytes = body.Slice(FuseWire.ReadWriteHead, size);
        for (int done = 0; done < size;)
        {
            (int at, int length) = Place(offset + done, size - done);
            byte[] chunk = _chunks[(offset + done) / Chunk] ??= new byte[Chunk];
            bytes.Slice(done, length).CopyTo(chunk.AsSpan(at));
            done += length;
        }

        Pace(write: true, offset, size);
        into[..8].Clear();
        BinaryPrimitives.WriteInt32LittleEndian(into, size);
        return 8;
    }

    private static (int At, int Length) Place(long offset, int left)
    {
        int at = (int)(offset % Chunk);
        return (at, Math.Min(left, Chunk - at));
    }

    private void Pace(bool write, long offset, int bytes)
    {
        if (!Paced)
        {
            return;
        }

        double now = _time.GetElapsedTime(_start).TotalSeconds;
        double wait = _model.Done(now, write, offset, bytes) - now;
        if (wait >= 0.001)
        {
            _never.WaitOne((int)(wait * 1000));
        }
    }
}
