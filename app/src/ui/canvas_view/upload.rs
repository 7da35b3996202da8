//! Texels on their way into textures: all of a frame go in one buffer, since a device takes one large write far faster than
//! many small ones.

use rayon::prelude::*;

/// Rows of a copy begin at multiples of this (WebGPU, 5.3: bytesPerRow).
const ROW_BYTES: usize = wgpu::COPY_BYTES_PER_ROW_ALIGNMENT as usize;

/// How a square of texels lies in the buffer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Layout {
    /// Texels a side.
    pub side: u32,
    /// Bytes of a row of texels.
    own: usize,
    /// Bytes from one row to the next.
    row: usize,
}

impl Layout {
    /// For squares of `side` texels a side.
    pub fn new(side: u32, texel_bytes: usize) -> Self {
        let own = side as usize * texel_bytes;
        Layout { side, own, row: own.next_multiple_of(ROW_BYTES) }
    }

    fn bytes(self) -> usize {
        self.row * self.side as usize
    }

    /// Each square of several.
    pub fn par_squares(self, squares: &mut [u8]) -> impl IndexedParallelIterator<Item = &mut [u8]> {
        squares.par_chunks_exact_mut(self.bytes())
    }

    /// Fills a square with texels, row by row.
    pub fn fill(self, square: &mut [u8], texels: &[u8]) {
        for (to, from) in square.chunks_exact_mut(self.row).zip(texels.chunks_exact(self.own)) {
            to[..self.own].copy_from_slice(from);
        }
    }
}

/// Squares of texels waiting to be copied.
#[derive(Default)]
pub struct Upload {
    bytes: Vec<u8>,
    squares: Vec<Square>,
    buffer: Option<wgpu::Buffer>,
}

struct Square {
    texture: wgpu::Texture,
    at: [u32; 2],
    layout: Layout,
    offset: usize,
}

impl Upload {
    /// Adds squares for places (texels) of a texture; `fill` writes them one after the other. What cannot be filled is not
    /// copied.
    pub fn add<E>(
        &mut self,
        texture: &wgpu::Texture,
        layout: Layout,
        places: impl IntoIterator<Item = [u32; 2]>,
        fill: impl FnOnce(&mut [u8]) -> Result<(), E>,
    ) -> Result<(), E> {
        let (start, first) = (self.bytes.len(), self.squares.len());
        for at in places {
            let offset = start + (self.squares.len() - first) * layout.bytes();
            self.squares.push(Square { texture: texture.clone(), at, layout, offset });
        }
        self.bytes.resize(start + (self.squares.len() - first) * layout.bytes(), 0);
        fill(&mut self.bytes[start..]).inspect_err(|_| {
            self.bytes.truncate(start);
            self.squares.truncate(first);
        })
    }

    /// Copies what was added, in the order of the encoder.
    #[expect(clippy::cast_possible_truncation, reason = "a row of a tile has a few hundred bytes")]
    pub fn send(&mut self, device: &wgpu::Device, queue: &wgpu::Queue, encoder: &mut wgpu::CommandEncoder) {
        if self.squares.is_empty() {
            return;
        }
        let size = self.bytes.len() as u64;
        // A buffer that is too small goes; the device keeps it for as long as it is read.
        self.buffer.take_if(|b| b.size() < size);
        let new = || {
            device.create_buffer(&wgpu::BufferDescriptor {
                label: Some("tiles on their way"),
                size: size.next_power_of_two(),
                usage: wgpu::BufferUsages::COPY_SRC | wgpu::BufferUsages::COPY_DST,
                mapped_at_creation: false,
            })
        };
        let buffer = self.buffer.get_or_insert_with(new);
        queue.write_buffer(buffer, 0, &self.bytes);
        for Square { texture, at: [x, y], layout, offset } in self.squares.drain(..) {
            encoder.copy_buffer_to_texture(
                wgpu::TexelCopyBufferInfo {
                    buffer,
                    layout: wgpu::TexelCopyBufferLayout {
                        offset: offset as u64,
                        bytes_per_row: Some(layout.row as u32),
                        rows_per_image: None,
                    },
                },
                wgpu::TexelCopyTextureInfo {
                    texture: &texture,
                    mip_level: 0,
                    origin: wgpu::Origin3d { x, y, z: 0 },
                    aspect: wgpu::TextureAspect::All,
                },
                wgpu::Extent3d { width: layout.side, height: layout.side, depth_or_array_layers: 1 },
            );
        }
        self.bytes.clear();
    }
}
