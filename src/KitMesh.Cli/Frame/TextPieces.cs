using System.Text;

namespace KitMesh.Cli.Frame;

/// <summary>Passes UTF-8 on to a writer of text, piece by piece.</summary>
/// <param name="writer">Takes the text; stays open.</param>
internal sealed class TextPieces(TextWriter writer) : Stream
{
    private readonly Decoder _decoder = Encoding.UTF8.GetDecoder();
    private char[] _chars = new char[1024];

    /// <inheritdoc/>
    public override bool CanRead => false;

    /// <inheritdoc/>
    public override bool CanSeek => false;

    /// <inheritdoc/>
    public override bool CanWrite => true;

    /// <inheritdoc/>
    public override long Length => throw new NotSupportedException();

    /// <inheritdoc/>
    public override long Position
    {
        get => throw new NotSupportedException();
        set => throw new NotSupportedException();
    }

    /// <inheritdoc/>
    public override void Write(ReadOnlySpan<byte> buffer)
    {
        // A character may be cut between two pieces: the decoder keeps its start.
        int most = Encoding.UTF8.GetMaxCharCount(buffer.Length);
        if (_chars.Length < most)
        {
            _chars = new char[most];
        }

        writer.Write(_chars, 0, _decoder.GetChars(buffer, _chars, flush: false));
    }

    /// <inheritdoc/>
    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    /// <inheritdoc/>
    public override void Flush()
    {
    }

    /// <inheritdoc/>
    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    /// <inheritdoc/>
    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    /// <inheritdoc/>
    public override void SetLength(long value) => throw new NotSupportedException();
}
