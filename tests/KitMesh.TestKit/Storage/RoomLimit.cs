namespace KitMesh.TestKit.Storage;

/// <summary>A disk with little room: its files together may grow to a size, and then the system says it is full.</summary>
public sealed class RoomLimit(long bytes)
{
    public Stream Wrap(Stream file) => new Limited(file, bytes);

    private sealed class Limited(Stream file, long bytes) : Stream
    {
        public override bool CanRead => file.CanRead;

        public override bool CanSeek => file.CanSeek;

        public override bool CanWrite => file.CanWrite;

        public override long Length => file.Length;

        public override long Position
        {
            get => file.Position;
            set => file.Position = value;
        }

        public override void Flush() => file.Flush();

        public override int Read(byte[] buffer, int offset, int count) => file.Read(buffer, offset, count);

        public override long Seek(long offset, SeekOrigin origin) => file.Seek(offset, origin);

        public override void SetLength(long value)
        {
            Check(value);
            file.SetLength(value);
        }

        public override void Write(byte[] buffer, int offset, int count)
        {
            Check(file.Position + count);
            file.Write(buffer, offset, count);
        }

        protected override void Dispose(bool disposing)
        {
            if (disposing)
            {
                file.Dispose();
            }

            base.Dispose(disposing);
        }

        private void Check(long end)
        {
            if (end > bytes)
            {
                throw new IOException("No space left on device");
            }
        }
    }
}
